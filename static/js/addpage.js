// Adding a page: the starting patterns are ranked as soon as a text is pasted, a file that is too large is reported before
// it is sent, and fields for new word-lists are shown for these only.

const form = document.querySelector("[data-add]");
const text = form.querySelector("#text");
const source = form.querySelector("#source");
const into = form.querySelector("[data-suggestions]");
let timer = 0;
let running = null;
let picked = "";  // a pattern that the person chose stays selected when the text is tried again

async function rank() {
  running?.abort();
  running = new AbortController();
  const body = new URLSearchParams({ text: text.value.split("\n").slice(0, 420).join("\n") });
  for (const name of ["headword_language", "equivalent_language"]) body.set(name, form.querySelector(`#${name}`).value);
  if (picked) body.set("stock", picked);
  try {
    const answer = await fetch(form.dataset.suggest, { method: "POST", body, signal: running.signal });
    if (answer.ok) into.innerHTML = await answer.text();
  } catch { /* the button still does it */ }
}

form.querySelectorAll("#headword_language, #equivalent_language").forEach((one) => one.addEventListener("change", rank));
text.addEventListener("input", () => { clearTimeout(timer); timer = setTimeout(rank, 300); });
form.querySelector("[data-suggest-button]").addEventListener("click", async (event) => {
  if (form.querySelector("#file").files.length) return;  // its text is read on the server
  event.preventDefault();
  await rank();
  into.querySelector("input:checked, input")?.focus({ preventScroll: true });
  into.scrollIntoView({ block: "start" });  // the best is first, and the button is below them
});
into.addEventListener("change", (event) => { picked = event.target.value; });

function showWhatIsNew() {
  const chosen = source.selectedOptions[0];
  const isNew = source.value === "";
  form.querySelector("[data-new-list]").hidden = !isNew;
  form.querySelector("[data-pattern-choice]").hidden = !isNew && !chosen.hasAttribute("data-unpatterned") && !form.querySelector("#stock-error");
}
source.addEventListener("change", showWhatIsNew);
showWhatIsNew();

form.addEventListener("submit", (event) => {
  const files = [...form.querySelectorAll("input[type=file]")];
  const size = files.reduce((sum, f) => sum + (f.files[0]?.size ?? 0), 0) + text.value.length * 2;
  form.querySelectorAll("p.error.too-large").forEach((p) => p.remove());
  if (size < Number(form.dataset.most)) return;
  event.preventDefault();
  const largest = files.sort((a, b) => (b.files[0]?.size ?? 0) - (a.files[0]?.size ?? 0))[0];
  const words = document.createElement("p");
  words.className = "error too-large";
  words.setAttribute("role", "alert");
  words.textContent = form.dataset.tooLarge;
  largest.after(words);
  largest.focus();
});
