// A form that was refused: its summary gets the focus, and the title of the page says that something is wrong.

/** Bring the title of the page in step with what it shows, after a part was put in place. */
export function titleFollows() {
  const words = `${document.body.dataset.errorTitle}: `;
  const bare = document.title.startsWith(words) ? document.title.slice(words.length) : document.title;
  document.title = document.querySelector("main [data-refused]") ? words + bare : bare;
}

document.querySelector("main [data-refused]")?.focus();
