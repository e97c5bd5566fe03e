// Search as you type. A form with data-find fetches <data-find>?part=1&q=<typed> shortly after each
// keystroke and puts the answer, a fragment of HTML, into the element named by data-find-into. Without this
// script the form is submitted normally. The arrow keys move through the links in the answer.

import { act } from "./keys.js";

const WAIT = 60;
const lists = new Map();  // result element: its field, and how to close it

/** Make a form search as you type. */
export function findAsTyped(form) {
  const input = form.querySelector("input[type=search], input[type=text], input:not([type])");
  const into = document.querySelector(form.dataset.findInto);
  if (!input || !into) return;
  const drops = into.classList.contains("found");
  let timer = 0;
  let running = null;
  let shown = null;

  async function ask() {
    const typed = input.value.trim();
    if (typed === shown) return;
    running?.abort();
    if (drops && !typed) { show("", typed); return; }
    running = new AbortController();
    const address = new URL(form.dataset.find, location.href);
    for (const [name, value] of new FormData(form)) if (name !== input.name) address.searchParams.append(name, value);
    address.searchParams.set("part", "1");
    address.searchParams.set("q", typed);
    try {
      const answer = await fetch(address, { signal: running.signal, headers: { Accept: "text/html" } });
      if (answer.ok) show(await answer.text(), typed);
    } catch (error) {
      if (error.name !== "AbortError") show("", null);  // Enter still submits the form
    }
  }

  function show(html, typed) {
    into.innerHTML = html;
    shown = typed;
    if (drops) into.hidden = html.trim() === "";
    else if (typed !== null && form.method === "get") keepInAddress(form);
  }

  input.addEventListener("input", () => { clearTimeout(timer); timer = setTimeout(ask, WAIT); });
  if (!drops && form.method === "get") {
    form.addEventListener("change", (event) => { if (event.target !== input) { shown = null; ask(); } });
  }
  lists.set(into, {
    input,
    /** Hide the results; return false if none are shown. */
    close() {
      if (!drops || into.hidden) return false;
      into.hidden = true;
      shown = null;
      return true;
    },
  });
  into.dataset.foundList = "";
  input.dataset.findsInto = `#${into.id}`;
  if (drops) {
    document.addEventListener("pointerdown", (event) => { if (!form.contains(event.target)) { into.hidden = true; shown = null; } });
    input.addEventListener("focus", () => { if (input.value.trim()) ask(); });
  }
}

function keepInAddress(form) {
  const address = new URL(location.href);
  for (const [name, value] of new FormData(form)) {
    if (value) address.searchParams.set(name, value); else address.searchParams.delete(name);
  }
  address.searchParams.delete("page");
  if (!form.elements.namedItem("find")) address.searchParams.delete("find");
  history.replaceState(history.state, "", address);
}

/** The result list of the field or link in which a key was pressed: its element, and the current link. */
function listOf(target) {
  const into = target.closest("[data-found-list]") ?? document.querySelector(target.dataset.findsInto);
  const links = into ? [...into.querySelectorAll("a")] : [];
  return { into, links, at: links.indexOf(document.activeElement), ...lists.get(into) };
}

act("found.next", ({ target }) => {
  const { links, at } = listOf(target);
  if (!links[at + 1]) return at >= 0;
  links[at + 1].focus();
});
act("found.previous", ({ target }) => {
  const { links, at, input } = listOf(target);
  (links[at - 1] ?? input)?.focus();
});
act("found.close", ({ target }) => {
  const { input, close } = listOf(target);
  if (close?.() && target !== input) input.focus();
  else if (target === input) input.blur();
});

for (const form of document.querySelectorAll("form[data-find]")) findAsTyped(form);
