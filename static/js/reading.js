// Reading a text by keyboard: j and k move between sentences, a digit takes the slip for the name with that
// number beside the sentence, s takes it with the selected words, to be sorted later. Each of these clicks
// a button that also works without the script.

import { act } from "./keys.js";

const form = document.querySelector("form[data-reading]");
const sentences = [...document.querySelectorAll("[data-sentence]")];
let now = -1;

function go(to, { focus = true } = {}) {
  if (to < 0 || to >= sentences.length) return;
  sentences[now]?.classList.remove("now");
  for (const old of document.querySelectorAll("[data-sentence] kbd.key")) old.remove();
  now = to;
  const sentence = sentences[now];
  sentence.classList.add("now");
  for (const button of sentence.querySelectorAll("[data-figure]")) hint(button, button.dataset.figure);
  hint(sentence.querySelector("[data-bare]"), "s");
  if (focus) {
    sentence.focus({ preventScroll: true });
    sentence.scrollIntoView({ block: "center" });
  }
}

function hint(button, name) {
  if (!button || Number(name) > 9) return;
  const cap = document.createElement("kbd");
  cap.className = "key";
  cap.ariaHidden = "true";
  cap.textContent = name;
  button.append(cap);
}

/** The selected text and its sentence. */
function selected() {
  const selection = document.getSelection();
  const words = selection?.toString().replace(/\s+/g, " ").trim() ?? "";
  const node = selection?.anchorNode;
  const place = (node instanceof Element ? node : node?.parentElement)?.closest("[data-sentence]");
  return { words, at: place ? sentences.indexOf(place) : -1 };
}

function take(button) {
  if (button) form.requestSubmit(button);
}

function takeBare() {
  const { words, at } = selected();
  if (words && at >= 0) go(at, { focus: false });
  form.elements.name.value = words && at === now ? words : "";
  take(sentences[now]?.querySelector("[data-bare]"));
}

if (form && sentences.length) {
  act("sentence.next", () => go(Math.min(now + 1, sentences.length - 1)));
  act("sentence.previous", () => go(Math.max(now - 1, 0)));
  act("sentence.take", ({ key }) => take(sentences[now]?.querySelector(`[data-figure="${key}"]`)));
  act("sentence.bare", takeBare);
  form.addEventListener("click", (event) => {
    const sentence = event.target.closest("[data-sentence]");
    if (sentence) go(sentences.indexOf(sentence), { focus: false });
    if (event.target.closest("[data-bare]")) {
      const { words, at } = selected();
      form.elements.name.value = words && at === now ? words : "";
    }
  });
  for (const element of document.querySelectorAll(".with-script")) element.hidden = false;
  const from = sentences.findIndex((sentence) => `#${sentence.id}` === location.hash);
  go(Math.max(from, 0), { focus: from >= 0 });
}
