// Moving through a list with j and k: the focus moves from row to row, Enter opens. For tables with data-rows.

import { act } from "./keys.js";

function links() {
  return [...document.querySelectorAll("[data-rows] tbody tr")].map((row) => row.querySelector("a")).filter(Boolean);
}

function step(by) {
  const all = links();
  const at = all.indexOf(document.activeElement);
  const next = all[at < 0 ? (by > 0 ? 0 : all.length - 1) : at + by];
  next?.focus();
  next?.scrollIntoView({ block: "nearest" });
}

act("rows.next", () => step(1));
act("rows.previous", () => step(-1));
