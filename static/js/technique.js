// The picture used to enter a profile. A ring on the body ticks the box for the same place in the form;
// after every change the server redraws the form and describes it in words.

import { act } from "./keys.js";

const WAIT = 120;
let timer = 0;
let running = null;

/** Make the form of a technique interactive, once. */
function begin(form) {
  if (!form || form.dataset.live) return;
  form.dataset.live = "yes";
  for (const maps of form.querySelectorAll(".body-maps")) maps.hidden = false;
  for (const map of form.querySelectorAll("[data-body-map]")) {
    map.querySelector(".spot").tabIndex = 0;
    map.addEventListener("click", (event) => {
      const spot = event.target.closest(".spot");
      if (spot) choose(form, spot);
    });
  }
  form.addEventListener("change", () => { show(form); clearTimeout(timer); timer = setTimeout(() => preview(form), WAIT); });
}

function boxes(form, path) {
  return [...form.querySelectorAll(`input[name="${CSS.escape(path)}"]`)];
}

function chosen(form, path) {
  return boxes(form, path).filter((box) => box.checked && box.value).map((box) => box.value);
}

function choose(form, spot) {
  const { path, value, side } = spot.dataset;
  const box = boxes(form, path).find((one) => one.value === value);
  const now = spot.classList.contains("held");
  if (side) {
    const sides = chosen(form, "his_side");
    const other = side === "right" ? "left" : "right";
    if (now) {
      if (sides[0] === "both") set(form, "his_side", other); else box.checked = false;
    } else {
      const both = box.checked && sides.length && sides[0] !== side;
      box.checked = true;
      set(form, "his_side", both ? "both" : side);
    }
  } else {
    box.checked = !now;
    if (box.checked) leaveOut(form, path, value);
  }
  box.dispatchEvent(new Event("change", { bubbles: true }));
  box.dispatchEvent(new Event("input", { bubbles: true }));
}

/** A free hand has no place, and a hand with a place is not free. */
function leaveOut(form, path, value) {
  for (const box of boxes(form, path)) if ((value === "free") !== (box.value === "free")) box.checked = false;
}

function set(form, path, value) {
  const box = boxes(form, path).find((one) => one.value === value);
  if (box) box.checked = true;
}

/** Update the rings and the summaries from the boxes. */
function show(form) {
  const sides = chosen(form, "his_side");
  for (const spot of form.querySelectorAll(".spot")) {
    const { path, value, side } = spot.dataset;
    const here = !side || !sides.length || sides[0] === "both" || sides[0] === side;
    const held = here && chosen(form, path).includes(value);
    spot.classList.toggle("held", held);
    spot.setAttribute("aria-checked", String(held));
    const letter = spot.getAttribute("aria-label").split(":");
    spot.querySelector("text").textContent = held && letter.length > 1 ? letter[0] : "";
  }
  for (const part of form.querySelectorAll(".asked > details:not(.rests)")) {
    const words = [...part.querySelectorAll("input:checked")].map((box) => box.parentElement.textContent.trim());
    const summary = part.querySelector("summary");
    summary.dataset.unsaid ??= summary.querySelector("i")?.textContent ?? "";
    if (words.length) summary.textContent = words.join(", ");
    else summary.innerHTML = `<i>${summary.dataset.unsaid || "–"}</i>`;
  }
}

async function preview(form) {
  running?.abort();
  running = new AbortController();
  try {
    const answer = await fetch(form.dataset.look, { method: "POST", body: new URLSearchParams(new FormData(form)), signal: running.signal });
    const place = form.querySelector("#look");
    if (answer.ok) place.innerHTML = await answer.text();
  } catch (error) {
    if (error.name !== "AbortError") console.warn(error);
  }
}

const WAYS = { ArrowRight: [1, 0], ArrowLeft: [-1, 0], ArrowDown: [0, 1], ArrowUp: [0, -1] };

act("spot.choose", ({ target }) => choose(target.closest("form"), target.closest(".spot")));
act("spot.move", ({ target, key }) => {
  const spot = target.closest(".spot");
  const next = nearest(spot, [...spot.closest("[data-body-map]").querySelectorAll(".spot")], WAYS[key]);
  if (!next) return;
  spot.tabIndex = -1;
  next.tabIndex = 0;
  next.focus();
});

/** The nearest ring in the direction of an arrow key; sideways distance counts double. */
function nearest(from, all, [right, down]) {
  const at = middle(from);
  let best = null;
  let least = Infinity;
  for (const one of all) {
    const there = middle(one);
    const dx = there.x - at.x;
    const dy = there.y - at.y;
    const ahead = dx * right + dy * down;
    const aside = Math.abs(dx * down) + Math.abs(dy * right);
    if (one === from || ahead <= 1) continue;
    const far = ahead + 2 * aside;
    if (far < least) { least = far; best = one; }
  }
  return best;
}

function middle(spot) {
  const circle = spot.querySelector("circle");
  return { x: circle.cx.baseVal.value, y: circle.cy.baseVal.value };
}

begin(document.querySelector("form[data-look]"));
document.addEventListener("wordhold:part", (event) => begin(event.target.querySelector("form[data-look]")));
