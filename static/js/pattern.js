// The pattern editor: shortly after each change the settings are tried on the page's own lines.

const WAIT = 250;
const form = document.querySelector("[data-pattern]");
const into = document.querySelector("[data-into]");
let timer = 0;
let running = null;

async function preview(asked) {
  running?.abort();
  running = new AbortController();
  const body = new URLSearchParams(new FormData(form));
  if (asked) body.set("do", "look");
  try {
    const answer = await fetch(form.dataset.preview, { method: "POST", body, signal: running.signal });
    if (answer.ok) {
      const at = into.scrollTop;
      into.innerHTML = await answer.text();
      into.scrollTop = at;
    }
  } catch { /* the button still does it */ }
}

form.addEventListener("input", (event) => {
  if (event.target.id === "toml") return;
  clearTimeout(timer);
  timer = setTimeout(preview, WAIT, false);
});
form.querySelector("[data-look]").addEventListener("click", (event) => {
  event.preventDefault();
  preview(true);
});
