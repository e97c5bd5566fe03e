// A rejected form: its summary gets the focus, and the page title says that something is wrong.

/** Update the page title after a part was replaced. */
export function titleFollows() {
  const words = `${document.body.dataset.errorTitle}: `;
  const bare = document.title.startsWith(words) ? document.title.slice(words.length) : document.title;
  document.title = document.querySelector("main [data-refused]") ? words + bare : bare;
}

document.querySelector("main [data-refused]")?.focus();
