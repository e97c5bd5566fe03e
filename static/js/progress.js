// The bar of a long job, asked for twice a second; at its end the page is loaded anew and says the outcome.

const job = document.querySelector("[data-job]");
const bar = job?.querySelector("progress");
const words = job?.querySelector("[data-job-words]");
const count = job?.querySelector("[data-job-count]");

async function ask() {
  try {
    const now = await (await fetch(job.dataset.job)).json();
    if (now.state !== "running") { location.reload(); return; }
    if (now.total) {
      bar.max = now.total;
      bar.value = now.done;
      count.textContent = `${now.done} / ${now.total}`;
    }
    if (now.words) words.textContent = now.words;
  } catch { /* asked again below */ }
  setTimeout(ask, 500);
}

if (job) setTimeout(ask, 300);
