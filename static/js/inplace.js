// Editing a part of an article where it stands. A link with data-inplace, inside an element with data-part and
// an id, is fetched; the page it leads to holds the form in an element of the same id, and that is put in
// place. The form is sent by fetch: a page with the part again (saved, or refused with its errors) replaces
// it, and every other part that the answer has is renewed, since a change here may alter a verdict there.
// Whatever does not go so is left to the browser: the same links and forms work without this script.

const HEAD = { Accept: "text/html", "Wordhold-Part": "1" };

document.addEventListener("click", (event) => {
  const link = event.target instanceof Element ? event.target.closest("a[data-inplace], a[data-inplace-cancel]") : null;
  const part = link?.closest("[data-part]");
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

window.addEventListener("beforeunload", (event) => {
  if (document.querySelector("[data-part][data-typed]")) event.preventDefault();
});
document.addEventListener("input", (event) => {
  const part = event.target.closest?.("[data-part]");
  if (part && event.target.closest("form[method=post]")) part.dataset.typed = "";
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
  delete part.dataset.typed;
  if (answer.redirected && new URL(answer.url).pathname !== location.pathname) {
    location.assign(answer.url);
    return;
  }
  if (swap(part, page, refused ? "error" : "link")) {
    if (!refused) renewOthers(part, page);
    return;
  }
  if (refused) {
    document.querySelector("main").replaceWith(page.querySelector("main"));
    document.querySelector("main").focus();
  } else {
    location.assign(answer.url);
  }
}

async function read(answer) {
  return new DOMParser().parseFromString(await answer.text(), "text/html");
}

function swap(part, page, focus) {
  const fresh = page.getElementById(part.id);
  if (!fresh) return false;
  part.replaceWith(fresh);
  announce(fresh);
  const wanted = {
    field: "form :is(input:not([type=hidden]), textarea, select)",
    error: "[aria-invalid=true], [role=alert]",
    link: "a[data-inplace]",
  }[focus];
  const place = fresh.querySelector(wanted) ?? fresh;
  if (!place.matches("a, input, textarea, select, button")) place.tabIndex = -1;
  place.focus({ preventScroll: focus === "link" });
  return true;
}

function renewOthers(part, page) {
  const bar = page.getElementById("undo-bar");
  if (bar) {
    document.getElementById("undo-bar")?.replaceWith(bar);
    document.cookie = "wordhold_done=; max-age=0; path=/; samesite=lax";
  }
  for (const old of document.querySelectorAll("[data-part]")) {
    const fresh = page.getElementById(old.id);
    if (fresh && old.id !== part.id && !old.querySelector("form[method=post]") && fresh.outerHTML !== old.outerHTML) {
      old.replaceWith(fresh);
      announce(fresh);
    }
  }
}

/** Tell scripts of single pages that a part is new: `wordhold:part` bubbles from it. */
function announce(part) {
  part.dispatchEvent(new CustomEvent("wordhold:part", { bubbles: true }));
}

function leave(part, address) {
  delete part.dataset.typed;
  location.assign(address);
}

function busy(part, yes) {
  part.toggleAttribute("aria-busy", yes);
  if (yes) part.setAttribute("aria-busy", "true");
}

function say(part, form) {
  const words = document.createElement("p");
  words.className = "error";
  words.setAttribute("role", "alert");
  words.textContent = document.documentElement.dataset.unreachable ?? "Not saved: the program cannot be reached. Start it again and save once more; your text is still here.";
  form.querySelector("p.error[role=alert]")?.remove();
  form.prepend(words);
  words.tabIndex = -1;
  words.focus();
}
