// While the questions of a rule code are answered, the server puts the meaning of each clause into words.

const WAIT = 250;
const form = document.querySelector("form.questions[data-said]");
let timer = 0;
let running = null;

form?.addEventListener("input", () => { clearTimeout(timer); timer = setTimeout(say, WAIT); });

async function say() {
  running?.abort();
  running = new AbortController();
  try {
    const body = new URLSearchParams(new FormData(form));
    const answer = await fetch(form.dataset.said, { method: "POST", body, signal: running.signal });
    if (!answer.ok) return;
    for (const [number, sentence] of Object.entries(await answer.json())) {
      const place = document.getElementById(`said-${number}`);
      if (place && place.textContent !== sentence) place.textContent = sentence;
    }
  } catch (error) {
    if (error.name !== "AbortError") console.warn(error);
  }
}
