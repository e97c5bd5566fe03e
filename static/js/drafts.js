// Unsaved text is never lost. Every form on a page that changes something and has a field to
// type in is watched: what differs from the form as loaded is kept in this browser (localStorage), by page and
// field, and offered when the form is opened again. It is deleted when the server says that it was saved
// (the cookie wordhold_saved names the draft), when it is discarded, or after thirty days. If the browser cannot
// store anything, leaving the form asks first.
//
// This works for every form; data-no-draft turns it off. A form that can gain fields (another clause) names
// the button that shows it again unsaved, data-draft-again="do=again", so that all its fields can be restored.

const PREFIX = "wordhold-draft:";
const NOTE = "wordhold-draft-note";
const SAVED = "wordhold_saved";
const WAIT = 250;
const DAYS = 30;
const MOST = 3;  // drafts per form: an older one that was neither restored nor discarded is kept
const WRITTEN = "textarea, input:not([type=hidden], [type=checkbox], [type=radio], [type=file], [type=password], [type=submit], [type=button], [type=reset], [type=range])";
const watched = new Map();  // form: { key, draft, unkept }
let timer = 0;
let leaving = false;

// ---- the values of a form

function isWatched(form) {
  return form?.method === "post" && form.closest("main") && !form.closest("[data-no-draft]") && form.querySelector(WRITTEN);
}

/** The fields of a form that a person fills in, each with a name that identifies it. */
function fieldsOf(form) {
  const counts = new Map();
  const found = new Map();
  for (const field of form.elements) {
    if (!field.name || !field.matches("input, textarea, select") || field.matches("[type=hidden], [type=file], [type=password], [type=submit], [type=button], [type=reset]")) continue;
    const box = field.matches("[type=checkbox], [type=radio]");
    const name = box ? `${field.name}=${field.value}` : field.name;
    const number = counts.get(name) ?? 0;
    counts.set(name, number + 1);
    found.set(JSON.stringify([name, number]), field);
  }
  return found;
}

function valueOf(field) {
  return field.matches("[type=checkbox], [type=radio]") ? field.checked : field.value;
}

function cameAs(field) {
  if (field.matches("[type=checkbox], [type=radio]")) return field.defaultChecked;
  if (!field.matches("select")) return field.defaultValue;
  return ([...field.options].find((option) => option.defaultSelected) ?? field.options[0])?.value ?? "";
}

function changesOf(form) {
  const changes = {};
  for (const [name, field] of fieldsOf(form)) if (valueOf(field) !== cameAs(field)) changes[name] = valueOf(field);
  return changes;
}

function keyOf(form) {
  const action = new URL(form.getAttribute("action") || location.pathname, location.href);
  const alike = [...document.querySelectorAll("main form")].filter((one) => isWatched(one) && one.getAttribute("action") === form.getAttribute("action"));
  return `${PREFIX}${action.pathname}${action.search}#${alike.indexOf(form)}`;
}

// ---- storing drafts

function read(key) {
  try { return JSON.parse(localStorage.getItem(key)) ?? []; } catch { return []; }
}

function write(key, drafts) {
  try {
    if (drafts.length) localStorage.setItem(key, JSON.stringify(drafts.slice(0, MOST)));
    else localStorage.removeItem(key);
    return true;
  } catch { return false; }
}

function keys() {
  try { return Object.keys(localStorage).filter((key) => key.startsWith(PREFIX)); } catch { return []; }
}

function forget(tokens) {
  for (const key of keys()) {
    const drafts = read(key);
    const left = drafts.filter((draft) => !tokens.includes(draft.token));
    if (left.length < drafts.length) write(key, left);
  }
}

function forgetSaved() {
  const tokens = document.cookie.split("; ").find((one) => one.startsWith(`${SAVED}=`))?.slice(SAVED.length + 1).split(".") ?? [];
  if (!tokens.length) return;
  forget(tokens);
  document.cookie = `${SAVED}=; max-age=0; path=/; samesite=lax`;
}

function forgetOld() {
  const oldest = Date.now() - DAYS * 24 * 3600 * 1000;
  for (const key of keys()) {
    const drafts = read(key);
    const left = drafts.filter((draft) => draft.at > oldest);
    if (left.length < drafts.length) write(key, left);
  }
}

/** Store what is currently typed in a form. */
function keep(form) {
  const state = watched.get(form);
  if (!state?.touched || !form.isConnected) return;
  // the text in a rejected form was typed too
  const changes = { ...state.typed, ...changesOf(form) };
  for (const [name, field] of fieldsOf(form)) if (name in changes) changes[name] = valueOf(field);
  const others = read(state.key).filter((draft) => draft.token !== state.token);
  if (!Object.keys(changes).length) {
    state.unkept = !write(state.key, others);
    return;
  }
  const draft = {
    token: state.token,
    at: Date.now(),
    href: form.closest("[data-part]") ? new URL(form.action, location.href).href : location.href,
    title: document.querySelector("main h1")?.innerText.trim().slice(0, 80) ?? document.title,
    changes,
    whole: form.dataset.draftAgain ? wholeOf(form) : null,
  };
  state.draft = draft;
  state.unkept = !write(state.key, [draft, ...others]);
}

function wholeOf(form) {
  return [...new FormData(form)].filter(([name, value]) => typeof value === "string" && name !== "_draft");
}

function keepAll() {
  clearTimeout(timer);
  for (const form of watched.keys()) keep(form);
}

function isTyped(form) {
  const state = watched.get(form);
  return form.isConnected && state?.touched && Object.keys({ ...state.typed, ...changesOf(form) }).length > 0;
}

function holdsFile(form) {
  return form.isConnected && [...form.elements].some((field) => field.type === "file" && field.files.length);
}

// ---- restoring drafts

function differs(form, draft) {
  const fields = fieldsOf(form);
  return Object.entries(draft.changes).some(([name, value]) => !fields.has(name) || valueOf(fields.get(name)) !== value);
}

function watch(form) {
  if (watched.has(form)) return;
  const state = { key: keyOf(form), token: crypto.getRandomValues(new Uint32Array(3)).join("-"), touched: false, typed: {} };
  watched.set(form, state);
  const drafts = read(state.key);
  const same = drafts.find((draft) => !differs(form, draft));
  if (same && !form.matches("[data-unsaved] form, :has([data-unsaved])") && !Object.keys(changesOf(form)).length) {
    forget([same.token]);  // the record already has it
  } else if (same) {  // a form shown again unsaved, or refilled by the browser: it is the same draft
    Object.assign(state, { token: same.token, touched: true, typed: same.changes });
  }
  const waiting = drafts.find((draft) => draft !== same);
  if (!waiting || same) return;
  offer(form, waiting);
  document.getElementById("draft-note").replaceChildren();
}

// Day and time as elsewhere on these pages: browsers do not know the months in every interface language.
function when(time) {
  const month = document.getElementById("draft-offer").dataset.months.split("|")[time.getMonth()];
  const clock = [time.getHours(), time.getMinutes()].map((n) => String(n).padStart(2, "0")).join(":");
  return `${time.getDate()} ${month} ${time.getFullYear()}, ${clock}`;
}

function offer(form, draft) {
  const box = document.getElementById("draft-offer").content.firstElementChild.cloneNode(true);
  const written = Object.values(draft.changes).filter((value) => typeof value === "string" && value.trim());
  const longest = written.sort((a, b) => b.length - a.length)[0] ?? "";
  box.querySelector("[data-draft-when]").textContent = when(new Date(draft.at));
  box.querySelector("[data-draft-words]").textContent = longest.length > 80 ? `${longest.slice(0, 80)}…` : longest;
  box.querySelector("[data-draft-restore]").addEventListener("click", () => { box.remove(); restore(form, draft); });
  box.querySelector("[data-draft-discard]").addEventListener("click", () => {
    forget([draft.token]);
    box.remove();
    const next = read(watched.get(form).key).find((one) => one.token !== watched.get(form).token);
    if (next) offer(form, next);
    form.querySelector(WRITTEN)?.focus();
  });
  form.prepend(box);
}

function restore(form, draft) {
  const fields = fieldsOf(form);
  const missing = Object.keys(draft.changes).filter((name) => !fields.has(name));
  if (draft.whole?.some(([name]) => !form.elements.namedItem(name))) { askAgain(form, draft); return; }
  const state = watched.get(form);
  forget([draft.token]);
  Object.assign(state, { touched: true, typed: {} });
  const changed = [];
  for (const [name, value] of Object.entries(draft.changes)) {
    const field = fields.get(name);
    if (!field) continue;
    if (typeof value === "boolean") field.checked = value; else field.value = value;
    field.closest("details:not([open])")?.setAttribute("open", "");
    changed.push(field);
  }
  for (const field of changed) for (const kind of ["input", "change"]) field.dispatchEvent(new Event(kind, { bubbles: true }));
  keep(form);
  if (missing.length) tell(form, missing.map((name) => draft.changes[name]).filter((value) => typeof value === "string"));
  (changed.find((field) => field.matches(WRITTEN)) ?? changed[0])?.focus();
}

/** Show what was typed into fields that the form no longer has, so that it can be copied. */
function tell(form, texts) {
  if (!texts.length) return;
  const box = document.createElement("textarea");
  box.readOnly = true;
  box.rows = 4;
  box.value = texts.join("\n");
  box.setAttribute("aria-label", document.getElementById("draft-offer").dataset.left);
  form.prepend(box);
}

/** Ask the server for the form with all the fields that it had. */
function askAgain(form, draft) {
  const sent = document.createElement("form");
  sent.method = "post";
  sent.action = form.action;
  sent.hidden = true;
  const [name, value] = form.dataset.draftAgain.split("=");
  for (const [field, text] of [[name, value], ...draft.whole]) {
    const area = document.createElement("textarea");
    area.name = field;
    area.value = text;
    sent.append(area);
  }
  document.body.append(sent);
  leaving = true;
  sent.submit();
}

// ---- leaving

/** Say what was kept, with a link back to it: here, or on the next page. */
function note(draft) {
  const place = document.getElementById("draft-note");
  const box = document.getElementById("draft-kept").content.cloneNode(true);
  const link = box.querySelector("a");
  link.href = draft.href;
  link.append(`: ${draft.title}`);
  box.querySelector("button").addEventListener("click", () => { forget([draft.token]); place.replaceChildren(); });
  place.replaceChildren(box);
}

function showNote() {
  let left = null;
  try {
    left = JSON.parse(sessionStorage.getItem(NOTE));
    sessionStorage.removeItem(NOTE);
  } catch { return; }
  if (!left || [...watched.values()].some((state) => state.key === left.key)) return;
  const draft = read(left.key).find((one) => one.token === left.token);
  if (draft) note(draft);
}

document.addEventListener("click", (event) => {
  keepAll();
  const link = event.target instanceof Element ? event.target.closest("a[href]") : null;
  if (!link || event.button !== 0 || event.ctrlKey || event.metaKey || event.shiftKey || event.altKey || link.target || link.hasAttribute("download") || link.origin !== location.origin) return;
  const inPlace = link.matches("[data-inplace], [data-inplace-cancel]") && link.closest("[data-part]");
  if (!inPlace && link.hash && link.pathname === location.pathname && link.search === location.search) return;
  const typed = [...watched.keys()].filter((form) => isTyped(form) && (!inPlace || inPlace.contains(form)));
  if (!typed.length) return;
  if (typed.some((form) => watched.get(form).unkept)) {
    if (!confirm(document.getElementById("draft-kept").dataset.ask)) { event.preventDefault(); event.stopImmediatePropagation(); return; }
    leaving = !inPlace;
    return;
  }
  const { key, token, draft } = watched.get(typed[0]);
  if (inPlace || link.matches("[data-go]")) { if (draft) note(draft); return; }
  try { sessionStorage.setItem(NOTE, JSON.stringify({ key, token })); } catch { /* the form offers it all the same */ }
  leaving = true;
}, { capture: true });

document.addEventListener("input", (event) => {
  const form = event.target.form;
  if (!watched.has(form) && isWatched(form)) watch(form);
  if (!watched.has(form)) return;
  watched.get(form).touched = true;
  clearTimeout(timer);
  timer = setTimeout(keepAll, WAIT);
});
document.addEventListener("formdata", (event) => {
  const state = watched.get(event.target);
  if (state?.touched) event.formData.set("_draft", state.token);
});
document.addEventListener("submit", (event) => {
  if (watched.has(event.target)) { keepAll(); leaving = true; setTimeout(() => { leaving = false; }, 2000); }
});
document.addEventListener("visibilitychange", keepAll);
window.addEventListener("pagehide", keepAll);
window.addEventListener("beforeunload", (event) => {
  keepAll();
  if (!leaving && [...watched.keys()].some((form) => isTyped(form) || holdsFile(form))) event.preventDefault();
});

function watchForms() {
  forgetSaved();
  for (const form of watched.keys()) if (!form.isConnected) watched.delete(form);
  for (const form of document.querySelectorAll("main form")) if (isWatched(form)) watch(form);
}

window.addEventListener("pageshow", () => { leaving = false; watchForms(); });
new MutationObserver((changes) => {
  if (changes.some((change) => [...change.addedNodes].some((node) => node instanceof Element && (node.matches("form, main") || node.querySelector("form"))))) watchForms();
}).observe(document.body, { childList: true, subtree: true });
forgetOld();
watchForms();
showNote();
