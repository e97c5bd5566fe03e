// Finding as you type. A form with data-find fetches <data-find>?part=1&q=<typed> shortly after each
// keystroke and puts the answer, a fragment of HTML, into the element named by data-find-into. Without this
// script the form is sent as any other. Arrow keys walk the links of the answer.

const WAIT = 60;

/** Make a form find as one types. */
export function findAsTyped(form) {
  const input = form.querySelector("input[type=search], input[type=text], input:not([type])");
  const into = document.querySelector(form.dataset.findInto);
  if (!input || !into) return;
  const drops = into.classList.contains("found");
  let timer = 0;
  let running = null;
  let shown = null;

  async function ask() {
    const typed = input.value.trim();
    if (typed === shown) return;
    running?.abort();
    if (drops && !typed) { show("", typed); return; }
    running = new AbortController();
    const address = new URL(form.dataset.find, location.href);
    for (const [name, value] of new FormData(form)) if (name !== input.name) address.searchParams.append(name, value);
    address.searchParams.set("part", "1");
    address.searchParams.set("q", typed);
    try {
      const answer = await fetch(address, { signal: running.signal, headers: { Accept: "text/html" } });
      if (answer.ok) show(await answer.text(), typed);
    } catch (error) {
      if (error.name !== "AbortError") show("", null);  // Enter still sends the form
    }
  }

  function show(html, typed) {
    into.innerHTML = html;
    shown = typed;
    if (drops) into.hidden = html.trim() === "";
    else if (typed !== null && form.method === "get") keepInAddress(form);
  }

  input.addEventListener("input", () => { clearTimeout(timer); timer = setTimeout(ask, WAIT); });
  if (!drops && form.method === "get") {
    form.addEventListener("change", (event) => { if (event.target !== input) { shown = null; ask(); } });
  }
  input.addEventListener("keydown", (event) => {
    if (event.key === "Escape") {
      if (drops && !into.hidden) { into.hidden = true; shown = null; event.preventDefault(); }
      else input.blur();
    }
    if (event.key === "ArrowDown") step(event, into, -1, 1);
  });
  into.addEventListener("keydown", (event) => {
    const links = [...into.querySelectorAll("a")];
    const at = links.indexOf(document.activeElement);
    if (event.key === "ArrowDown") step(event, into, at, 1);
    if (event.key === "ArrowUp") { if (at <= 0) { event.preventDefault(); input.focus(); } else step(event, into, at, -1); }
    if (event.key === "Escape" && drops) { into.hidden = true; shown = null; input.focus(); event.preventDefault(); }
  });
  if (drops) {
    document.addEventListener("pointerdown", (event) => { if (!form.contains(event.target)) { into.hidden = true; shown = null; } });
    input.addEventListener("focus", () => { if (input.value.trim()) ask(); });
  }
}

function step(event, into, at, by) {
  const links = [...into.querySelectorAll("a")];
  const next = links[at + by];
  if (next) { event.preventDefault(); next.focus(); }
}

function keepInAddress(form) {
  const address = new URL(location.href);
  for (const [name, value] of new FormData(form)) {
    if (value) address.searchParams.set(name, value); else address.searchParams.delete(name);
  }
  address.searchParams.delete("page");
  if (!form.elements.namedItem("find")) address.searchParams.delete("find");
  history.replaceState(history.state, "", address);
}

for (const form of document.querySelectorAll("form[data-find]")) findAsTyped(form);
