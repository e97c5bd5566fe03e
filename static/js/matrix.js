// Arrow keys go from cell to cell of a table with data-grid; Home and End to the ends of a row. Every cell
// that can be gone to holds a link, so Enter opens it and Tab goes on as ever.

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

document.addEventListener("keydown", (event) => {
  const step = STEPS[event.key];
  const from = event.target instanceof Element ? event.target.closest("[data-grid] tbody a") : null;
  if (!step || !from || event.ctrlKey || event.altKey || event.metaKey || event.shiftKey) return;
  const next = beside(from, ...step);
  if (!next) return;
  event.preventDefault();
  next.focus();
  next.scrollIntoView({ block: "nearest", inline: "nearest" });
});

// from the field that narrows, down into the matrix rather than to the first link of the answer
document.addEventListener("keydown", (event) => {
  if (event.key !== "ArrowDown" || event.target.id !== "narrow") return;
  const first = document.querySelector("[data-grid] tbody td a");
  if (!first) return;
  event.preventDefault();
  event.stopPropagation();
  first.focus();
}, true);
