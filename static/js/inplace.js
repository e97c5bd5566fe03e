// Editing a part of an article in place. A link with data-inplace, inside an element with data-part and
// an id, is fetched; the target page has the form in an element with the same id, which replaces the part
// here. The form is sent by fetch: the part in the response (saved, or rejected with its errors) replaces
// it, and every other part in the response is updated too, since a change here may alter a verdict there.
// A link with data-inplace="some-id" opens that part instead of its own. Forms that are always in a part
// (data-standing: a button that signs) do not prevent it from being updated.
// Anything else is left to the browser: the same links and forms work without this script.

import { titleFollows } from "./forms.js";

const HEAD = { Accept: "text/html", "Wordhold-Part": "1" };

document.addEventListener("click", (event) => {
  const link = event.target instanceof Element ? event.target.closest("a[data-inplace], a[data-inplace-cancel]") : null;
  const part = document.getElementById(link?.dataset.inplace) ?? link?.closest("[data-part]");
  if (!part?.id || event.defaultPrevented || event.button !== 0 || event.ctrlKey || event.metaKey || event.shiftKey || event.altKey) return;
  event.preventDefault();
  load(part, link.href, link.hasAttribute("data-inplace-cancel") ? "link" : "field");
});

document.addEventListener("submit", (event) => {
  const form = event.target;
  const part = form.closest("[data-part]");
  if (event.defaultPrevented || !part?.id || form.method !== "post" || form.dataset.inplace === "no") return;
  event.preventDefault();
  send(part, form, event.submitter);
});

async function load(part, address, focus) {
  busy(part, true);
  try {
    const page = await read(await fetch(address, { headers: HEAD }));
    if (!swap(part, page, focus)) leave(part, address);
  } catch {
    leave(part, address);
  }
}

async function send(part, form, submitter) {
  busy(part, true);
  const target = submitter?.getAttribute("formaction") ?? form.getAttribute("action") ?? location.href;
  const files = form.querySelector("input[type=file]");
  const typed = new FormData(form, submitter);
  const body = files ? typed : new URLSearchParams(typed);
  let answer;
  try {
    answer = await fetch(target, { method: "POST", body, headers: HEAD });
  } catch {
    busy(part, false);
    say(part, form);
    return;
  }
  const page = await read(answer);
  const refused = !answer.ok;
  if (answer.redirected && new URL(answer.url).pathname !== location.pathname) {
    location.assign(answer.url);
    return;
  }
  if (refused ? swap(part, page, "error") : saved(part, page)) return;
  if (refused) {
    busy(part, false);
    say(part, form, troubleOf(page));
  } else {
    location.assign(answer.url);
  }
}

/** Show the text of an error page, and a link if it asks for the access key; the form keeps what was typed. */
function troubleOf(page) {
  const messages = [...page.querySelectorAll("main h1, main dd, main .trouble > p:not(.status, .hint)")];
  const words = document.createDocumentFragment();
  words.append(messages.map((element) => element.textContent.trim()).filter(Boolean).join(" "));
  const key = page.querySelector("main label[for=key]");
  if (key) {
    const link = document.createElement("a");
    Object.assign(link, { href: "/", target: "_blank", textContent: key.textContent });
    words.append(" ", link);
  }
  return words;
}

async function read(answer) {
  return new DOMParser().parseFromString(await answer.text(), "text/html");
}

function put(old, page) {
  const fresh = document.importNode(page.getElementById(old.id), true);
  old.replaceWith(fresh);
  announce(fresh);
  return fresh;
}

function swap(part, page, focus) {
  if (!page.getElementById(part.id)) return false;
  rest(put(part, page), focus);
  return true;
}

/** Move the focus to the first field, the first error, or the link that opened the form. */
function rest(fresh, focus) {
  const wanted = {
    field: "form :is(input:not([type=hidden]), textarea, select)",
    error: "[data-refused], [aria-invalid=true], [role=alert]",
    link: "a[data-inplace]",
  }[focus];
  titleFollows();
  const place = fresh.querySelector(wanted) ?? fresh;
  if (!place.matches("a, input, textarea, select, button")) place.tabIndex = -1;
  place.focus({ preventScroll: focus === "link" });
}

/** Show what was saved: the part itself, or its parent if it is gone, and whatever else has changed. */
function saved(part, page) {
  let shown = part;
  while (shown && !page.getElementById(shown.id)) shown = shown.parentElement?.closest("[data-part]");
  if (!shown) return false;
  put(shown, page);
  renewOthers(page);
  rest(document.getElementById(shown.id) ?? document.querySelector("main"), "link");
  return true;
}

function renewOthers(page) {
  const bar = page.getElementById("undo-bar");
  if (bar) {
    document.getElementById("undo-bar")?.replaceWith(bar);
    document.cookie = "wordhold_done=; max-age=0; path=/; samesite=lax";
  }
  for (const old of document.querySelectorAll("[data-part]")) {
    const fresh = page.getElementById(old.id);
    const written = old.querySelector("form[method=post]:not([data-standing])");
    if (fresh && old.isConnected && !written && fresh.outerHTML !== old.outerHTML) put(old, page);
  }
}

/** Tell page scripts that a part was replaced: `wordhold:part` bubbles from it. A script that the part
    brings along, and that the page did not have, is fetched. */
function announce(part) {
  for (const script of part.querySelectorAll("script[type=module][src]")) import(script.src);
  part.dispatchEvent(new CustomEvent("wordhold:part", { bubbles: true }));
}

function leave(part, address) {
  location.assign(address);
}

function busy(part, yes) {
  part.toggleAttribute("aria-busy", yes);
  if (yes) part.setAttribute("aria-busy", "true");
}

function say(part, form, message = document.body.dataset.unreachable ?? "") {
  const words = document.createElement("p");
  words.className = "error";
  words.setAttribute("role", "alert");
  words.append(message);
  form.querySelector("p.error[role=alert]")?.remove();
  form.prepend(words);
  words.tabIndex = -1;
  words.focus();
}
