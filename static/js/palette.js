// The characters a keyboard may lack: a click puts one where the writing stands in the field before it.

let written = null;

function dress(root) {
  for (const row of root.querySelectorAll("[data-palette]")) row.hidden = false;
}

document.addEventListener("focusin", (event) => {
  if (event.target.matches?.("input:not([type]), input[type=text], input[type=search], textarea")) written = event.target;
});
document.addEventListener("click", (event) => {
  const sign = event.target.closest?.(".palette .sign");
  if (!sign) return;
  const form = sign.closest("form");
  const tag = sign.closest("[data-palette]").dataset.palette;
  const field = form?.contains(written) ? written : form?.querySelector(`[lang="${CSS.escape(tag)}"]:is(input, textarea)`);
  if (!field) return;
  field.setRangeText(sign.textContent, field.selectionStart, field.selectionEnd, "end");
  field.focus();
  field.dispatchEvent(new Event("input", { bubbles: true }));
});
document.addEventListener("wordhold:part", (event) => dress(event.target));
dress(document);
