// The keyboard shortcuts of a page. They are all declared on elements with data-key. This module handles them, and the
// shortcut sheet lists them, so no key can work that the sheet does not show. No other script listens for keys.
//
//   <a href="…" data-key="e" data-key-label="Change the terms">       the key clicks a link or button, or goes to a field
//   <a href="…" data-key="j" data-key-also="ArrowDown">               a second key for the same
//   <button data-key="s t">                                           two keys, one after the other
//   <span hidden data-key="j" data-key-act="rows.next" data-key-label="Next row">   a script does it: act("rows.next", …)
//
// An element with data-key-act may limit where it applies: data-key-within (a selector: only while the focus is inside) and
// data-key-needs (a selector: only if the page has such an element). While somebody types in a field, only keys
// with data-key-in-fields work. Single letters, digits and punctuation can be turned off (WCAG 2.2, 2.1.4).

const OFF = "wordhold-keys-off";
const FIELD = "textarea, select, [contenteditable], input:not([type=checkbox], [type=radio], [type=button], [type=submit], [type=range])";
const acts = new Map();
const waiting = [];
let off = null;  // the choice, if the browser cannot store it
let first = "";  // the first of two keys
let isBusy = () => false;

/** Register the handler of an action. If it returns false, the key goes to the next match, or to the browser. */
export function act(name, work) {
  acts.set(name, work);
}

/** Keys are queued while `busy()` is true; `keysGoOn()` handles them in order, so that none is lost. */
export function keysWaitWhile(busy) {
  isBusy = busy;
}

/** Handle the queued keys. */
export function keysGoOn() {
  while (waiting.length && !isBusy()) {
    const name = waiting.shift();
    (document.activeElement ?? document.body).dispatchEvent(new KeyboardEvent("keydown", { key: name, bubbles: true, cancelable: true }));
  }
}

/** Drop the queued keys. */
export function keysForget() {
  waiting.length = 0;
}

/** Return whether single-key shortcuts are on in this browser. */
export function keysAreOn() {
  try { return (localStorage.getItem(OFF) ?? off) !== "yes"; } catch { return off !== "yes"; }
}

function pressed(event) {
  const bare = event.key === " " ? "Space" : event.key;
  const shift = event.shiftKey && bare.length > 1 && bare !== "Space" ? "Shift+" : "";
  // with Alt some keyboards give another character: use the key itself
  const key = event.altKey ? { Period: "." }[event.code] ?? (/^Key[A-Z]$/.test(event.code) ? event.code[3].toLowerCase() : bare) : bare;
  return (event.ctrlKey || event.metaKey ? "Control+" : "") + (event.altKey ? "Alt+" : "") + shift + key;
}

function typing(target) {
  return target instanceof Element && target.closest(FIELD) !== null;
}

function names(element) {
  return [element.dataset.key, element.dataset.keyAlso].filter(Boolean);
}

function seen(element) {
  return element.getClientRects().length > 0 || element.closest("details:not([open])") !== null;
}

/** Return whether a shortcut can be used on this page at all, wherever the focus is; for the sheet. */
function holds(element) {
  const { keyAct, keyWithin, keyNeeds } = element.dataset;
  if (!keyAct) return seen(element) && !element.disabled;
  if (keyNeeds && !document.querySelector(keyNeeds)) return false;
  return acts.has(keyAct) && (!keyWithin || [...document.querySelectorAll(keyWithin)].some(seen));
}

function isHere(element, target) {
  const { keyWithin } = element.dataset;
  return !keyWithin || (target instanceof Element && target.closest(keyWithin) !== null);
}

/** The elements for a key, best match first: those around the focus, those in its form, then the last on the page. */
function rows(name, target) {
  const form = target instanceof Element ? target.closest("form") : null;
  const own = (element) => (element.dataset.keyWithin ? 2 : form?.contains(element) ? 1 : 0);
  const scripted = [];
  const plain = [];
  for (const element of document.querySelectorAll("[data-key]")) {
    if (!names(element).includes(name) || !holds(element) || !isHere(element, target)) continue;
    // Escape in a field cancels that field's form, never another
    if (name === "Escape" && form && typing(target) && !element.dataset.keyAct && !form.contains(element)) continue;
    (element.dataset.keyAct ? scripted : plain).push(element);
  }
  return [...scripted.filter((e) => own(e) === 2), ...plain.filter((e) => own(e) === 1), ...plain.filter((e) => !own(e)).reverse(),
    ...scripted.filter((e) => own(e) !== 2)];
}

function work(element, event) {
  if (element.dataset.keyAct) return acts.get(element.dataset.keyAct)(event) !== false;
  const closed = element.closest("details:not([open])");
  if (closed && !element.matches("summary")) closed.open = true;
  if (element.matches("input, textarea, select")) {
    element.focus();
    if (element.select) element.select();
  } else {
    element.click();
  }
  return true;
}

function arm(name) {
  first = name;
  for (const place of document.querySelectorAll("[data-key-first]")) place.classList.toggle("armed", name === place.dataset.keyFirst);
}

function startsTwo(name) {
  return [...document.querySelectorAll(`[data-key^="${CSS.escape(name)} "]`)].some((e) => holds(e));
}

document.addEventListener("pointerdown", () => arm(""));
document.addEventListener("keydown", (event) => {
  if (event.defaultPrevented || event.isComposing || ["Shift", "Control", "Alt", "Meta", "AltGraph"].includes(event.key)) return;
  if (event.repeat && event.key.length === 1 && !"jk".includes(event.key)) return;
  const sheet = document.getElementById("keys");
  if (sheet?.open) return;
  const inField = typing(event.target);
  const bare = pressed(event);
  const single = bare.length === 1;
  if (single && !keysAreOn()) return;
  if (!inField && isBusy() && (single || bare === "Enter")) {
    event.preventDefault();
    if (!event.repeat) waiting.push(event.key);
    return;
  }
  const before = inField ? "" : first;
  arm("");
  const name = before ? `${before} ${bare}` : bare;
  if (before && bare === "Escape") { event.preventDefault(); return; }
  const target = event.target instanceof Element ? event.target : null;
  const found = rows(name, target).filter((e) => !inField || e.hasAttribute("data-key-in-fields"));
  // the browser's own use of these keys comes first, unless the shortcut is for this very element
  const left = ["Enter", "Space"].includes(name) && target?.closest("a[href], button, summary, input, [role=radio], [role=checkbox]")
    || /^(Arrow|Enter|Home|End|Page)/.test(name) && target?.closest("[data-own-arrows]");
  for (const element of found) {
    if (left && !element.dataset.keyWithin) continue;
    if (!work(element, event)) continue;
    event.preventDefault();
    return;
  }
  if (before) event.preventDefault();
  else if (!inField && single && startsTwo(name)) { event.preventDefault(); arm(name); }
});

// shortcuts on every page

act("keys.sheet", () => openSheet(document.getElementById("keys")));
act("keys.leave", (event) => { event.target.blur(); });

const CAPS = { Control: "Ctrl", Escape: "Esc", ArrowUp: "↑", ArrowDown: "↓", ArrowLeft: "←", ArrowRight: "→" };

function caps(name) {
  return name.split(/(?<=.)[ +]/).map((part) => CAPS[part] ?? part);
}

/** Every shortcut that works on this page: its label and its keys. */
function listed() {
  const found = new Map();
  for (const element of document.querySelectorAll("[data-key]")) {
    if (!holds(element)) continue;
    const label = element.dataset.keyLabel ?? element.textContent.trim();
    found.set(label, new Set([...(found.get(label) ?? []), ...names(element)]));
  }
  return found;
}

function openSheet(sheet) {
  const list = sheet.querySelector("dl");
  list.replaceChildren();
  for (const [label, keys] of listed()) {
    const term = document.createElement("dt");
    for (const name of keys) {
      const cap = document.createElement("kbd");
      cap.className = "key";
      cap.dataset.name = name;
      cap.textContent = caps(name).join(" ");
      term.append(cap, " ");
    }
    const words = document.createElement("dd");
    words.textContent = label;
    list.append(term, words);
  }
  sheet.showModal();
}

function showSwitch() {
  const on = keysAreOn();
  document.documentElement.classList.toggle("no-keys", !on);
  const sheet = document.getElementById("keys");
  const button = sheet?.querySelector("[data-keys-switch]");
  if (button) button.textContent = on ? sheet.dataset.off : sheet.dataset.on;
}

document.querySelector("[data-keys-switch]")?.addEventListener("click", () => {
  off = keysAreOn() ? "yes" : "no";
  try { localStorage.setItem(OFF, off); } catch { /* the choice lasts for this page only */ }
  showSwitch();
});
window.addEventListener("storage", showSwitch);
for (const button of document.querySelectorAll("[data-keys-sheet]")) {
  button.hidden = false;
  button.addEventListener("click", () => openSheet(document.getElementById("keys")));
}
showSwitch();
