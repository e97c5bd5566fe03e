// Taking slips. The names that a slip may bear witness to are offered while the name is typed: in the field
// with data-offers or, while that is empty, in the one with data-offers-from. Arrow down moves to them. Alt+n
// uses the words selected in the quotation as the printed name.

import { act } from "./keys.js";

const WAIT = 80;
const field = document.querySelector("input[data-offers]");
const printed = document.querySelector("input[data-offers-from]");
const quotation = document.querySelector("textarea[data-quotation]");
const box = document.getElementById("offers");
let timer = 0;
let asked = 0;

async function ask() {
  const mine = ++asked;
  const address = new URL(field.dataset.offers, location.href);
  address.searchParams.set("q", field.value.trim() || printed.value.trim());
  address.searchParams.set("chosen", box.querySelector("input:checked")?.value ?? "");
  try {
    const answer = await fetch(address, { headers: { Accept: "text/html" } });
    if (!answer.ok || mine !== asked) return;
    const legend = box.querySelector("legend");
    box.innerHTML = await answer.text();
    box.prepend(legend);
  } catch { /* the button below does the same */ }
}

function soon() {
  clearTimeout(timer);
  timer = setTimeout(ask, WAIT);
}

function toOffers() {
  const first = box.querySelectorAll("input[type=radio]")[1];
  if (!first) return false;
  first.focus();
  first.checked = true;
}

function takeSelected() {
  const selected = quotation.value.slice(quotation.selectionStart, quotation.selectionEnd).trim();
  if (!selected) return;
  printed.value = selected.replace(/\s+/g, " ");
  ask();
  printed.focus();
}

if (field && printed && box) {
  for (const input of [field, printed]) {
    input.addEventListener("input", soon);
  }
  act("slips.offers", toOffers);
  act("slips.printed", takeSelected);
  for (const element of document.querySelectorAll(".without-script")) element.hidden = true;
}
