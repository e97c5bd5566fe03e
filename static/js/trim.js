// Trimming by keyboard: j and k move through the lines, x ticks the current one, a ticks all or none; the button says
// how many are ticked. Without this script the boxes and the button do the same.

import { act } from "./keys.js";

const whole = document.getElementById("trimmed");

function boxes() {
  return [...whole.querySelectorAll("li:not([data-in-entries]) > .trim-print > input")];
}

function lines() {
  return [...whole.querySelectorAll(".trim-line")];
}

function inHand() {
  return document.activeElement?.closest?.(".trim-line") ?? null;
}

function step(by) {
  const all = lines();
  const at = all.indexOf(inHand());
  const next = all[at < 0 ? (by > 0 ? 0 : all.length - 1) : at + by];
  (next?.querySelector("input") ?? next?.querySelector("a"))?.focus();
  next?.scrollIntoView({ block: "center" });
}

function count() {
  const form = whole.querySelector("[data-trim]");
  const counter = form?.querySelector("[data-count-ticked]");
  if (!counter) return;
  const ticked = boxes().filter((box) => box.checked).length;
  const notes = form.querySelectorAll("[data-in-entries] input:checked").length;
  counter.textContent = form.dataset.ticked.replace("{n}", ticked) + (notes ? `; ${form.dataset.noted.replace("{n}", notes)}` : "");
  form.querySelector("[data-tick-all]").hidden = false;
}

if (whole) {
  act("lines.next", () => step(1));
  act("lines.previous", () => step(-1));
  act("lines.tick", () => inHand()?.querySelector("input")?.click());
  whole.addEventListener("change", count);
  whole.addEventListener("click", (event) => {
    if (!event.target.closest("[data-tick-all]")) return;
    const all = boxes();
    const tick = !all.every((box) => box.checked);
    for (const box of all) box.checked = tick;
    count();
  });
  new MutationObserver(count).observe(whole, { childList: true });
  count();
}
