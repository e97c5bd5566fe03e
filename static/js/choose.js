// Choosing an entry or a name by typing: a field with data-choose offers similar names in a list shown by the browser.

let timer = 0;

document.addEventListener("input", (event) => {
  const field = event.target;
  if (!field.matches?.("[data-choose]")) return;
  clearTimeout(timer);
  timer = setTimeout(() => offer(field), 80);
});

async function offer(field) {
  const typed = field.value.trim();
  if (!typed || /^[ct]\d+ /.test(typed)) return;  // already chosen
  const address = new URL(field.dataset.choose, location.href);
  address.searchParams.set("q", typed);
  let found;
  try { found = (await (await fetch(address)).json()).found; } catch { return; }
  if (field.value.trim() !== typed) return;
  let list = document.getElementById(`${field.id}-found`);
  if (!list) {
    list = document.createElement("datalist");
    list.id = `${field.id}-found`;
    field.after(list);
    field.setAttribute("list", list.id);
  }
  list.replaceChildren(...found.map(({ value, words }) => {
    const option = document.createElement("option");
    option.value = value;
    option.label = `${value} (${words})`;
    return option;
  }));
}
