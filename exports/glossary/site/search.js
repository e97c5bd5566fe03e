/* Finds names as the termbase does: the exact form, another spelling, undone mutations, inflection, old print;
   then beginnings, then near names. All rules come from the language files (LANGUAGES), all keys from the
   termbase (NAMES); no server is contacted. */
"use strict";

(function () {
  const KINDS = { FORM: 0, SPELLING: 1, MUTATED: 2, INFLECTED: 3, OLD: 4, OLD_LOOSE: 5, MISREAD: 6, WORD: 7 };
  const MOST_PHRASES = 64, MOST_WORDS = 4, MOST_SHOWN = 60;
  const NOT_WORD = /[^\p{L}\p{N}_]+/gu;
  const MARKS = /[\u0300-\u036f\u1ab0-\u1aff\u1dc0-\u1dff\u20d0-\u20ff]+/g;

  function escaped(text) { return text.replace(/[.*+?^${}()|[\]\\\/-]/g, "\\$&"); }

  // Built from the language files, once.
  function prepare(data) {
    const long = Object.keys(data.fold).filter((k) => [...k].length > 1).sort((a, b) => b.length - a.length);
    const single = Object.keys(data.fold).filter((k) => [...k].length === 1);
    const et = long.filter((k) => k.startsWith("⁊")).map((k) => escaped(k) + "(?![\\p{L}\\p{N}_])");
    const dotted = long.filter((k) => !k.startsWith("⁊")).map(escaped);
    const any = new RegExp([...et, ...dotted, "[" + single.map(escaped).join("") + "]"].join("|"), "gu");
    const loose = new RegExp("[" + Object.keys(data.marks).join("") + "]", "gu");
    const languages = {};
    for (const [tag, rules] of Object.entries(data.languages)) languages[tag] = prepareRules(rules);
    return { fold: data.fold, any, marks: data.marks, loose, languages };
  }

  function prepareRules(rules) {
    const byMutated = new Map();
    let longest = 0;
    for (const [radical, mutated, environment, name, change, rank] of rules.mutations) {
      const rule = { radical, mutated, name, change, rank, environment: environment && new RegExp("^(?:" + environment + ")", "u") };
      if (!byMutated.has(mutated)) byMutated.set(mutated, []);
      byMutated.get(mutated).push(rule);
      longest = Math.max(longest, mutated.length);
    }
    return {
      ...rules, byMutated, longest,
      irregular: new Map(Object.entries(rules.irregular)),
      mutates: byMutated.size > 0 || Object.keys(rules.irregular).length > 0,
      spellings: rules.spellings.map(([kind, pattern, put]) => [kind, new RegExp(pattern, "gu"), put]),
      hasLoose: rules.spellings.some(([kind]) => kind === "key-aggressive"),
      stems: rules.stems.map(([pattern, put]) => [new RegExp(pattern, "gu"), put]),
    };
  }

  let tables = null;

  function folded(text) {
    const joined = text.normalize("NFC").replace(tables.any, (found) => tables.fold[found]).toLowerCase();
    return joined.normalize("NFC").replace(/\s+/gu, " ").trim();
  }

  function form(text, rules) {
    const made = folded(text);
    if (!rules.andSigns.some((sign) => made.includes(sign))) return made;
    return made.split(" ").map((word) => (rules.andSigns.includes(word) ? rules.and : word)).join(" ");
  }

  function loosely(text) {
    const plain = text.replace(tables.loose, (found) => tables.marks[found]);
    return plain.normalize("NFD").replace(MARKS, "").normalize("NFC").replace(NOT_WORD, "");
  }

  function respelt(word, rules, all) {
    for (const [kind, pattern, put] of rules.spellings) {
      if (all || kind === "key") word = word.replace(pattern, put);
    }
    return word;
  }

  function* oldKeys(text, rules) {
    if (!rules.spellings.length) return;
    const words = text.split(" ");
    yield [KINDS.OLD, loosely(words.map((w) => respelt(w, rules, false)).join(""))];
    if (rules.hasLoose) yield [KINDS.OLD_LOOSE, loosely(words.map((w) => respelt(w, rules, true)).join(""))];
  }

  function* beyondForm(text, rules) {
    let loose = loosely(text);
    yield [KINDS.SPELLING, loose];
    const words = text.split(/[ -]+/);
    for (let place = 0; place < words.length; place++) {
      for (const [pattern, put] of rules.stems) {
        pattern.lastIndex = 0;
        if (pattern.test(words[place])) {
          pattern.lastIndex = 0;
          const stem = words[place].replace(pattern, put);
          yield [KINDS.INFLECTED, loosely([...words.slice(0, place), stem, ...words.slice(place + 1)].join(""))];
        }
      }
    }
    yield* oldKeys(text, rules);
    for (const [seen, meant] of rules.misreadings) loose = loose.replaceAll(seen, meant);
    yield [KINDS.MISREAD, loose];
  }

  // Every word that a form may belong to: itself, irregular ones, then by undoing mutation.
  function radicals(word, rules) {
    const found = new Map([[word, { text: word, how: "itself", note: "" }]]);
    const byRank = [[], [], []];
    for (let length = Math.min(rules.longest, word.length); length >= 0; length--) {
      for (const rule of rules.byMutated.get(word.slice(0, length)) || []) {
        const radical = rule.radical + word.slice(length);
        if (radical && (!rule.environment || rule.environment.test(radical))) {
          byRank[rule.rank].push([rule, radical]);
        }
      }
    }
    const irregular = (rules.irregular.get(word) || []).map((head) => [word, head]);
    for (const [, radical] of byRank.flat()) {
      for (const head of rules.irregular.get(radical) || []) irregular.push([radical, head]);
    }
    for (const [from, head] of irregular) {
      if (!found.has(head)) found.set(head, { text: head, how: "irregular", note: head + " > " + from });
    }
    for (const [rule, radical] of byRank.flat()) {
      if (!found.has(radical)) {
        found.set(radical, { text: radical, how: "mutated", note: [rule.name, rule.change].filter(Boolean).join(", ") });
      }
    }
    return [...found.values()];
  }

  function explained(chosen) {
    const undone = chosen.filter((one) => one.how !== "itself");
    const kind = undone.some((one) => one.how === "irregular") ? KINDS.INFLECTED : KINDS.MUTATED;
    return [kind, undone.map((one) => one.note).join("; ")];
  }

  function* phraseRadicals(text, rules) {
    const pieces = text.split(/([ -]+)/);
    const choices = pieces.map((piece, place) =>
      place % 2 === 0 && place / 2 < MOST_WORDS ? radicals(piece, rules) : [{ text: piece, how: "itself", note: "" }]);
    if (pieces.length > 1) {
      for (const one of radicals(text, rules).slice(1)) yield [one.text, ...explained([one])];
    }
    for (const chosen of combined(choices, 0, [])) {
      if (chosen.some((one) => one.how !== "itself")) yield [chosen.map((one) => one.text).join(""), ...explained(chosen)];
    }
  }

  function* combined(choices, place, chosen) {
    if (place === choices.length) { yield chosen; return; }
    for (const one of choices[place]) yield* combined(choices, place + 1, [...chosen, one]);
  }

  function* queryKeysIn(text, rules) {
    const made = form(text, rules);
    if (!made) return;
    yield [KINDS.FORM, made, ""];
    for (const [kind, key] of beyondForm(made, rules)) if (key) yield [kind, key, ""];
    if (!rules.mutates) return;
    let number = 0;
    for (const [phrase, kind, note] of phraseRadicals(made, rules)) {
      if (++number > MOST_PHRASES) return;
      yield [kind, phrase, note];
      yield [kind, loosely(phrase), note];
      for (const [oldKind, key] of oldKeys(phrase, rules)) yield [oldKind, key, note];
    }
  }

  // [kind, text, language, note]: language is empty for keys that match names in any language.
  function queryKeys(text, tags) {
    const found = new Map();
    for (const tag of tags) {
      const only = tag === "und" ? "" : tag;
      for (const [kind, key, note] of queryKeysIn(text, tables.languages[tag])) {
        const free = found.get("\0" + key);
        if (free && free[0] <= kind) continue;
        const known = found.get(only + "\0" + key);
        if (!known || known[0] > kind) found.set(only + "\0" + key, [kind, key, only, note]);
      }
    }
    return [...found.values()].sort((a, b) => a[0] - b[0]);
  }

  // The index: from the text of a key to the names with that key, each with the rank of its kind.
  let index = null;

  function indexed(data) {
    const byKey = new Map(), forms = [], looseForms = [];
    data.names.forEach(([, , , text, keys], number) => {
      for (const one of keys.split("|")) {
        const key = one.slice(1);
        if (!byKey.has(key)) byKey.set(key, []);
        byKey.get(key).push([number, +one[0]]);
      }
      forms.push(folded(text));
      looseForms.push(loosely(forms[number]));
    });
    return { byKey, forms, looseForms };
  }

  function find(text, data) {
    if (!tables) tables = prepare(globalThis.LANGUAGES);
    if (!index) index = indexed(data);
    const best = new Map();
    const offer = (number, rank, said) => {
      const known = best.get(number);
      if (!known || known.rank > rank) best.set(number, { number, rank, said });
    };
    const tags = Object.keys(tables.languages);
    for (const [kind, key, only, note] of queryKeys(text, tags)) {
      for (const [number, stored] of index.byKey.get(key) || []) {
        if (only && data.primary[data.names[number][1]] !== only) continue;
        const rank = Math.max(kind, stored);
        offer(number, rank, [data.kinds[rank], kind >= stored ? note : ""].filter(Boolean).join(": "));
      }
    }
    const made = folded(text), loose = loosely(made);
    if (made) begin(made, loose, offer, data);
    if (best.size === 0 && loose.length > 3) near(loose, offer, data);
    return [...best.values()].sort((a, b) => a.rank - b.rank || a.number - b.number);
  }

  function begin(made, loose, offer, data) {
    index.forms.forEach((name, number) => {
      if (name.startsWith(made) || (loose && index.looseForms[number].startsWith(loose))) offer(number, 8, data.says.begins);
      else if (name.includes(" " + made) || name.includes("-" + made)) offer(number, 9, data.says.word);
    });
  }

  function near(loose, offer, data) {
    const most = loose.length < 6 ? 1 : 2;
    index.looseForms.forEach((name, number) => {
      const away = distance(loose, name, most);
      if (away <= most) offer(number, 9 + away, data.says.near);
    });
  }

  // Levenshtein distance; stops once it exceeds `most`.
  function distance(a, b, most) {
    if (Math.abs(a.length - b.length) > most) return most + 1;
    let row = Array.from({ length: b.length + 1 }, (_, n) => n);
    for (let i = 1; i <= a.length; i++) {
      const next = [i];
      let least = i;
      for (let j = 1; j <= b.length; j++) {
        next[j] = Math.min(row[j] + 1, next[j - 1] + 1, row[j - 1] + (a[i - 1] === b[j - 1] ? 0 : 1));
        least = Math.min(least, next[j]);
      }
      if (least > most) return most + 1;
      row = next;
    }
    return row[b.length];
  }

  function made(tag, kind, text, lang) {
    const element = document.createElement(tag);
    if (kind) element.className = kind;
    if (text) element.textContent = text;
    if (lang) element.lang = lang;
    return element;
  }

  function row({ number, said }, data) {
    const [entry, tag, sign, text] = data.names[number];
    const [id, ...heads] = data.entries[entry];
    const item = made("li");
    const link = made("a", "name");
    link.href = "entries/" + id + ".html";
    if (sign) link.append(made("span", "sign", sign));
    link.append(made("bdi", "", text, data.tags[tag]));
    item.append(link, " ", made("span", "tongue", data.called[tag]));
    heads.forEach((head, n) => {
      if (head && head !== text) item.append(" · ", made("bdi", "words", head, data.tags[n]));
    });
    if (said) item.append(" ", made("span", "how", said));
    return item;
  }

  function filled(template, n) { return template.replace("%(n)s", n); }

  function plurals(tag) { return new Intl.PluralRules(tag); }

  function show(text, data) {
    const list = document.getElementById("found"), status = document.getElementById("found-number");
    const hits = text.trim() ? find(text, data) : [];
    list.replaceChildren(...hits.slice(0, MOST_SHOWN).map((hit) => row(hit, data)));
    const says = data.says, more = hits.length > MOST_SHOWN ? " " + filled(says.first, MOST_SHOWN) : "";
    if (!text.trim()) status.textContent = "";
    else if (!hits.length) status.textContent = says.nothing;
    else status.textContent = filled(says.numbers[plurals(says.language).select(hits.length)] || says.numbers.other, hits.length) + more;
  }

  globalThis.GLOSSARY_SEARCH = {
    queryKeys(text, tags) { if (!tables) tables = prepare(globalThis.LANGUAGES); return queryKeys(text, tags); },
    find: (text) => find(text, globalThis.NAMES).map(({ number, rank, said }) => {
      const [entry, tag, , name] = globalThis.NAMES.names[number];
      return [globalThis.NAMES.entries[entry][0], name, globalThis.NAMES.tags[tag], rank, said];
    }),
  };

  const field = document.getElementById("q");
  if (!field || !document.getElementById("found")) return;
  const asked = new URLSearchParams(location.search).get("q") || "";
  field.value = asked;
  if (asked) show(asked, globalThis.NAMES);
  field.addEventListener("input", () => show(field.value, globalThis.NAMES));
  field.form.addEventListener("submit", (event) => { event.preventDefault(); show(field.value, globalThis.NAMES); });
})();
