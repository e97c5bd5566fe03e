// Arrow keys move between the cells of a table with data-grid, Home and End to the ends of a row. Every cell
// that can be reached has a link, so Enter opens it and Tab works as usual.

import { act } from "./keys.js";

function cells(row) {
  return [...row.cells].map((cell) => cell.querySelector("a"));
}

function beside(from, across, down) {
  const row = from.closest("tr");
  const rows = [...row.parentElement.rows];
  const own = cells(row);
  if (down) {
    const next = rows[rows.indexOf(row) + down];
    return next ? cells(next)[own.indexOf(from)] ?? cells(next).find(Boolean) : null;
  }
  const linked = own.filter(Boolean);
  if (across === Infinity) return linked.at(-1);
  if (across === -Infinity) return linked[0];
  return linked[linked.indexOf(from) + across] ?? null;
}

const STEPS = {
  ArrowRight: [1, 0], ArrowLeft: [-1, 0], ArrowDown: [0, 1], ArrowUp: [0, -1], Home: [-Infinity, 0], End: [Infinity, 0],
};

act("matrix.move", (event) => {
  const from = event.target.closest("a");
  const next = from && beside(from, ...STEPS[event.key]);
  if (!next) return false;
  next.focus();
  next.scrollIntoView({ block: "nearest", inline: "nearest" });
});

// from the filter field, down into the matrix rather than to the first link of the answer
act("matrix.enter", () => {
  const first = document.querySelector("[data-grid] tbody td a");
  if (!first) return false;
  first.focus();
});
