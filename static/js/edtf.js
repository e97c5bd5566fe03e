// An uncertain date shown in words while it is typed: a field with data-edtf queries that address, and the answer
// goes into the element whose data-edtf-words is the field's name. Errors are shown there too.

const WAIT = 150;

for (const field of document.querySelectorAll("input[data-edtf]")) {
  const into = document.querySelector(`[data-edtf-words="${CSS.escape(field.name)}"]`);
  let timer = 0;
  let asked = 0;

  async function ask() {
    const mine = ++asked;
    const address = new URL(field.dataset.edtf, location.href);
    address.searchParams.set("edtf", field.value);
    try {
      const answer = await (await fetch(address)).json();
      if (mine !== asked) return;
      into.textContent = answer.words || answer.error;
      into.classList.toggle("error", answer.error !== "");
    } catch { /* the server says it when the form is sent */ }
  }

  if (into) field.addEventListener("input", () => { clearTimeout(timer); timer = setTimeout(ask, WAIT); });
}
