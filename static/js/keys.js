// Single keys. A link, button or field that carries data-key is worked by that key; a script may register
// more with key(). Keys sleep while somebody types in a field, unless they are declared for fields
// (data-key-in-fields, or {inFields: true}); they can be turned off altogether (WCAG 2.2, 2.1.4).
//
//   <a href="…" data-key="e" data-key-label="Change the terms">
//   import { key } from "./keys.js";  key("j", "Next line", () => next());

const registered = new Map();
const OFF = "wordhold-keys-off";

/** Register a key: what it is called on the sheet, and what it does. Returns a function that removes it. */
export function key(name, label, act, { inFields = false } = {}) {
  registered.set(name, { label, act, inFields });
  return () => registered.delete(name);
}

/** Whether single keys are turned on in this browser. */
export function keysAreOn() {
  return read() !== "yes";
}

function read() {
  try { return localStorage.getItem(OFF); } catch { return null; }
}

function pressed(event) {
  const held = (event.ctrlKey || event.metaKey ? "Control+" : "") + (event.altKey ? "Alt+" : "");
  return held + event.key;
}

function typing(target) {
  return target instanceof Element
    && target.closest("textarea, select, [contenteditable], input:not([type=checkbox], [type=radio], [type=button], [type=submit], [type=range])") !== null;
}

function seen(element) {
  return element.getClientRects().length > 0 || element.closest("details:not([open])") !== null;
}

function holder(name, from) {
  const all = [...document.querySelectorAll(`[data-key="${CSS.escape(name)}"]`)].filter((e) => seen(e) && !e.disabled);
  const form = from instanceof Element ? from.closest("form") : null;
  return all.find((e) => form?.contains(e)) ?? all.at(-1);
}

function work(element) {
  const closed = element.closest("details:not([open])");
  if (closed && !element.matches("summary")) closed.open = true;
  if (element.matches("input, textarea, select")) {
    element.focus();
    if (element.select) element.select();
  } else {
    element.click();
  }
}

document.addEventListener("keydown", (event) => {
  if (event.defaultPrevented || event.isComposing || event.repeat && event.key.length === 1 && !"jk".includes(event.key)) return;
  const name = pressed(event);
  const sheet = document.getElementById("keys");
  if (sheet?.open) return;
  const inField = typing(event.target);
  if ((name === "Enter" || name === " ") && event.target instanceof Element && event.target.closest("a[href], button, summary")) return;
  const simple = !name.startsWith("Control+") && !name.startsWith("Alt+") && name.length === 1;
  if (simple && !keysAreOn()) return;
  if (name === "?" && !inField && sheet) {
    event.preventDefault();
    openSheet(sheet);
    return;
  }
  const element = holder(name, event.target);
  if (element && (!inField || element.hasAttribute("data-key-in-fields"))) {
    event.preventDefault();
    work(element);
    return;
  }
  const own = registered.get(name);
  if (own && (!inField || own.inFields)) {
    event.preventDefault();
    own.act(event);
  }
});

function listed() {
  const found = new Map();
  for (const element of document.querySelectorAll("[data-key]")) {
    if (seen(element)) found.set(element.dataset.key, element.dataset.keyLabel ?? element.textContent.trim());
  }
  for (const [name, { label }] of registered) found.set(name, label);
  return found;
}

function openSheet(sheet) {
  const list = sheet.querySelector("dl");
  list.replaceChildren();
  for (const [name, label] of listed()) {
    const term = document.createElement("dt");
    const cap = document.createElement("kbd");
    cap.className = "key";
    cap.textContent = name.replace("Control", "Ctrl").replace("Escape", "Esc").replace("Arrow", "");
    term.append(cap);
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
  try { localStorage.setItem(OFF, keysAreOn() ? "yes" : "no"); } catch { /* the choice lasts for this page only */ }
  showSwitch();
});
for (const button of document.querySelectorAll("[data-keys-sheet]")) {
  button.hidden = false;
  button.addEventListener("click", () => openSheet(document.getElementById("keys")));
}
showSwitch();
