// The progress bar of a long job, updated twice a second; at the end the page is reloaded and shows the result.

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
