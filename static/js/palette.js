// Characters that a keyboard may lack. While the focus is in a field with a language (its `lang`), a bar at the bottom
// of the window offers that language's characters: a click inserts one, and Alt+. changes the preceding letter into
// the next variant (w ŵ, b ḃ, a â á à ä, 7 ⁊). Beside a field for a printed form its modern spelling is shown;
// a click puts that into the name, never into the printed form.

import { act } from "./keys.js";

const known = new Map();
let bar = null;
let field = null;

const FIELDS = "input:not([type])[lang], input[type=text][lang], input[type=search][lang], textarea[lang]";

async function about(tag) {
  if (!known.has(tag)) {
    known.set(tag, fetch(`/entries/signs/${encodeURIComponent(tag)}`).then((answer) => answer.ok ? answer.json() : null).catch(() => null));
  }
  return known.get(tag);
}

function theBar() {
  if (bar) return bar;
  bar = document.createElement("div");
  bar.className = "palette";
  bar.setAttribute("role", "toolbar");
  bar.addEventListener("mousedown", (event) => event.preventDefault());  // the focus stays in its field
  (document.querySelector("main") ?? document.body).append(bar);
  return bar;
}

function hide() {
  field = null;
  // the space under the page is kept: a page that moves while a button at its bottom is pressed loses the click
  if (bar) bar.hidden = true;
}

async function show(target) {
  field = target;
  const found = await about(target.lang);
  if (field !== target) return;
  if (!found?.signs.length) return hide();
  const row = theBar();
  if (row.dataset.palette !== target.lang) {
    row.dataset.palette = target.lang;
    row.setAttribute("aria-label", found.name);
    const hint = document.createElement("span");
    hint.className = "hint";
    hint.textContent = found.hint;
    row.replaceChildren(hint, ...found.signs.map((sign) => {
      const button = document.createElement("button");
      button.type = "button";
      button.className = "sign";
      button.lang = target.lang;
      button.tabIndex = -1;
      button.textContent = sign;
      return button;
    }));
  }
  row.hidden = false;
  document.documentElement.classList.add("with-palette");
}

function put(text, from, to) {
  field.setRangeText(text, from, to, "end");
  field.dispatchEvent(new Event("input", { bubbles: true }));
}

async function turn() {
  const families = (await about(field.lang))?.families ?? {};
  const at = field.selectionStart;
  const before = field.value.slice(0, at);
  for (const [letter, signs] of Object.entries(families)) {
    const ring = [letter, ...signs];
    const here = ring.filter((sign) => before.endsWith(sign)).sort((a, b) => b.length - a.length)[0];
    if (here) return put(ring[(ring.indexOf(here) + 1) % ring.length], at - here.length, at);
  }
}

document.addEventListener("focusin", (event) => {
  if (event.target.matches?.(FIELDS) && event.target.lang) show(event.target);
  else if (!bar?.contains(event.target)) hide();
});
if (document.activeElement?.matches(FIELDS) && document.activeElement.lang) show(document.activeElement);  // autofocus
document.addEventListener("focusout", (event) => {
  if (!event.relatedTarget) hide();
});
document.addEventListener("click", (event) => {
  const sign = event.target.closest?.(".palette .sign");
  if (!sign || !field) return;
  put(sign.textContent, field.selectionStart, field.selectionEnd);
  field.focus();
});
act("palette.turn", ({ target }) => {
  if (!field || target !== field) return false;
  turn();
});

// ---- the modern spelling beside the printed form

let timer = 0;

document.addEventListener("input", (event) => {
  const printed = event.target;
  if (!printed.matches?.("input[name$=printed], input[data-printed]")) return;
  clearTimeout(timer);
  timer = setTimeout(() => offer(printed), 150);
});

async function offer(printed) {
  const typed = printed.value;
  const place = printed.closest(".field") ?? printed.parentElement;
  let modern = "", label = "", take = "";
  if (typed) {
    try { ({ modern, label, take } = await (await fetch(`/entries/modern?printed=${encodeURIComponent(typed)}`)).json()); } catch { return; }
  }
  if (printed.value !== typed) return;
  let line = place.querySelector(".modern");
  if (!modern) return line?.remove();
  if (!line) {
    line = document.createElement("p");
    line.className = "hint modern";
    line.setAttribute("role", "status");
    place.append(line);
  }
  const word = document.createElement("bdi");
  word.className = "words";
  word.lang = printed.lang.split("-")[0];
  word.textContent = modern;
  line.replaceChildren(`${label}: `, word, " ");
  const name = printed.form?.querySelector("[name=text], [name=headword]");
  if (name && name !== printed && name.value !== modern) {
    const button = document.createElement("button");
    button.type = "button";
    button.className = "plain";
    button.textContent = take;
    button.addEventListener("click", () => {
      name.value = modern;
      name.dispatchEvent(new Event("input", { bubbles: true }));
      name.focus();
    });
    line.append(button);
  }
}
