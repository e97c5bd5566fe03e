// The page desk: actions use fetch and replace only the parts that change, so that it responds at once.
// Every link with data-go and every form with data-act also works without this script, by loading whole pages.
// Keys pressed while a response is pending are queued, so that fast typing loses none and hits no wrong line.

import { act, keysForget, keysGoOn, keysWaitWhile } from "./keys.js";
import { titleFollows } from "./forms.js";

const HEAD = { Accept: "text/html", "Wordhold-Part": "1" };
const desk = document.querySelector("[data-desk]");
let busy = false;

document.addEventListener("click", (event) => {
  const link = event.target instanceof Element ? event.target.closest("a[data-go]") : null;
  if (!link || event.defaultPrevented || event.button !== 0 || event.ctrlKey || event.metaKey || event.shiftKey || event.altKey) return;
  event.preventDefault();
  ask(link.href, {}, link.dataset.go || "line");
});

document.addEventListener("submit", (event) => {
  const form = event.target;
  if (event.defaultPrevented) return;
  if (form.matches("[data-narrow]")) {
    event.preventDefault();
    ask(`${form.action}?${new URLSearchParams(new FormData(form))}`, {}, "narrow");
    return;
  }
  if (!form.matches("[data-act]")) return;
  event.preventDefault();
  const more = event.submitter?.name === "more";
  const body = new URLSearchParams(new FormData(form, event.submitter));
  ask(form.action, { method: "POST", body }, more ? "more" : "line");
});

async function ask(address, how, focus) {
  if (busy) return;
  busy = true;
  let answer;
  try {
    answer = await fetch(address, { ...how, headers: HEAD });
    const page = new DOMParser().parseFromString(await answer.text(), "text/html");
    if (!swap(page, answer.ok ? focus : "error")) { location.assign(answer.url); return; }
    if (how.method === "POST") document.getElementById("undo-bar")?.replaceChildren();  // its act is no longer the last one
    const place = answer.headers.get("Wordhold-Place");
    if (place) history.replaceState(null, "", place);
  } catch {
    keysForget();
    say(desk.dataset.unreachable);
  } finally {
    busy = false;
  }
  keysGoOn();
}

function swap(page, focus) {
  const fresh = [...page.querySelectorAll("[data-desk-part]")];
  if (!fresh.length) return false;
  const height = window.scrollY;
  for (const part of fresh) document.getElementById(part.id)?.replaceWith(part);
  prepare();
  titleFollows();
  const wanted = {
    line: "#current-line",
    field: ".correct input:not([type=hidden])",
    more: ".correct fieldset:last-of-type .equivalent:last-of-type input",
    error: "[data-refused], [aria-invalid=true], .current [role=alert]",
    narrow: "#holding",
  }[focus];
  const place = document.querySelector(wanted) ?? document.querySelector("#current-line");
  if (place && !place.matches("a, input, button, select, textarea")) place.tabIndex = -1;
  place?.focus({ preventScroll: true });
  window.scrollTo({ top: height });
  if (place) intoView(place.closest(".current") ?? place);
  return true;
}

/** Scroll no more than needed to show the whole current line, top first. */
function intoView(element) {
  const box = element.getBoundingClientRect();
  const over = box.bottom - window.innerHeight + 16;
  if (box.top < 8) window.scrollBy(0, box.top - 8);
  else if (over > 0) window.scrollBy(0, Math.min(over, box.top - 8));
}

function say(words) {
  const place = document.querySelector("#desk-work");
  let told = place.querySelector("p.error.unreachable");
  if (!told) {
    told = document.createElement("p");
    told.className = "error unreachable";
    told.setAttribute("role", "alert");
    place.querySelector(".current")?.prepend(told);
  }
  told.textContent = words;
}

// keys

keysWaitWhile(() => busy);

// the picture

const scan = document.querySelector("[data-scan]");
const picture = scan?.querySelector("img");
let zoom = 1;

if (scan) act("scan.move", ({ key }) => {
  const step = 80;
  scan.scrollBy({ left: { ArrowLeft: -step, ArrowRight: step }[key] ?? 0, top: { ArrowUp: -step, ArrowDown: step }[key] ?? 0 });
});

function setZoom(to) {
  zoom = Math.min(Math.max(to, 1), 8);
  picture.style.width = `${zoom * 100}%`;
  follow();
}

/** Scroll the picture to roughly where the current line must be. */
function follow() {
  const first = Number(document.querySelector("#desk-work")?.dataset.first);
  const lines = Number(desk.dataset.lines);
  if (!scan || !first || !lines) return;
  scan.scrollTop = picture.clientHeight * ((first - 0.5) / lines) - scan.clientHeight / 2;
}

function prepare() {
  follow();
}

if (scan) {
  document.querySelector("[data-scan-keys]").hidden = false;
  document.addEventListener("click", (event) => {
    const button = event.target instanceof Element ? event.target.closest("[data-zoom]") : null;
    if (button) setZoom({ in: zoom * 1.4, out: zoom / 1.4, fit: 1 }[button.dataset.zoom]);
  });
  scan.addEventListener("wheel", (event) => {
    if (!event.ctrlKey) return;
    event.preventDefault();
    setZoom(zoom * (event.deltaY < 0 ? 1.15 : 1 / 1.15));
  }, { passive: false });
  if (picture.complete) follow(); else picture.addEventListener("load", follow);
}

document.addEventListener("change", (event) => {
  if (event.target.matches("[data-narrow] select")) event.target.form.requestSubmit();
});
if (!document.querySelector(".correct")) document.querySelector("#current-line")?.focus({ preventScroll: true });
