"""Keys for finding: what is stored beside a term, and what a query looks for.

A query meets a term when a text of its `query_keys` is a text of the term's stored `find_keys`; how good the
meeting is, is the weaker of the two kinds (`weaker`). Keys find; they are never shown and never correct
anything. Near names (a letter wrong) and beginnings of names are not made here: they are looked for among
the stored texts.
"""

import re
from collections.abc import Callable, Collection, Iterable, Iterator
from dataclasses import dataclass
from enum import StrEnum
from itertools import islice, product

from termbase.languages.alphabets import sort_key
from termbase.languages.files import LanguageFile, SpellingClass, per_language, shipped_tags
from termbase.languages.folding import one_spelling, without_marks
from termbase.languages.mutations import Candidate, unmutated_forms

__all__ = [
    "Found",
    "Key",
    "KeyKind",
    "Keyer",
    "Lookup",
    "QueryKey",
    "StoredKey",
    "find_keys",
    "headwords_for",
    "index_of",
    "keys_by_text",
    "query_keys",
    "weaker",
]


class KeyKind(StrEnum):
    """What a key disregards, best first: the order in which finding offers what it found."""

    FORM = "form"
    """Old letters, case, and the kind of apostrophe and hyphen: the very form."""
    SPELLING = "spelling"
    """Accents, spaces, hyphens and other signs as well: back-heel, back heel, backheel."""
    MUTATED = "mutated"
    """Initial mutation, undone."""
    INFLECTED = "inflected"
    """Inflection: irregular forms, English plurals and -ing forms."""
    OLD = "old spelling"
    """Spelling before the reforms."""
    OLD_LOOSE = "old spelling, loosely"
    """The same by rules that merge more modern words."""
    MISREAD = "misread"
    """Letters of old print taken for one another."""
    WORD = "single word"
    """Everything but one word of a name of several."""

    @property
    def rank(self) -> int:
        """Place in the order of finding, 0 first."""
        return _RANKS[self]


_RANKS = {kind: rank for rank, kind in enumerate(KeyKind)}


@dataclass(frozen=True, slots=True)
class Key:
    """A key to store beside a term."""

    kind: KeyKind
    text: str


@dataclass(frozen=True, slots=True)
class QueryKey:
    """A text to look for among stored keys.

    Attributes:
        kind: how far this text is from the form asked for.
        text: what to look for.
        language: primary tag of the only language whose terms it may find; empty for any.
        note: what was undone, for the screen (`lenition, c > ch`); empty where nothing.
    """

    kind: KeyKind
    text: str
    language: str = ""
    note: str = ""


def weaker(first: KeyKind, second: KeyKind) -> KeyKind:
    """The kind of meeting between a query key and a stored key."""
    return first if first.rank >= second.rank else second


def find_keys(text: str, tag: str) -> tuple[Key, ...]:
    """The keys to store beside a term or one of its forms: its own form first, no text twice.

    Raises:
        BadInput: the tag is not well formed.
    """
    return tuple(Key(kind, key) for key, kind in keys_by_text(text, tag).items())


def keys_by_text(text: str, tag: str) -> dict[str, KeyKind]:
    """The same, as kind by text and in the same order; quicker, for thousands of names.

    Raises:
        BadInput: the tag is not well formed.

    >>> {key: kind.value for key, kind in keys_by_text("Y Fachiad", "cy").items()}
    {'y fachiad': 'form', 'yfachiad': 'spelling', 'ysacblad': 'misread', 'fachiad': 'single word'}
    """
    keyer = _keyer(tag)
    form = keyer.form(text)
    return keyer.keys(form) if form else {}


def query_keys(text: str, tag: str | None) -> tuple[QueryKey, ...]:
    """The texts to look for when somebody asks for a form, best kind first.

    Args:
        text: what was typed or read.
        tag: its language, or None to try every language there is a file for.

    Raises:
        BadInput: the tag is not well formed.
    """
    found: dict[tuple[str, str], QueryKey] = {}
    for one_tag in [tag] if tag is not None else ["und", *shipped_tags()]:
        only = "" if one_tag in (tag, "und") else one_tag
        for key in _query_keys(text, one_tag, only):
            if ("", key.text) in found and found["", key.text].kind.rank <= key.kind.rank:
                continue
            known = found.get((only, key.text))
            if known is None or known.kind.rank > key.kind.rank:
                found[only, key.text] = key
    return tuple(sorted(found.values(), key=lambda key: key.kind.rank))


def _query_keys(text: str, tag: str, only: str) -> Iterator[QueryKey]:
    keyer = _keyer(tag)
    form = keyer.form(text)
    if not form:
        return
    for key, kind in keyer.keys(form).items():
        if kind is not KeyKind.WORD:
            yield QueryKey(kind, key, only)
    if not keyer.mutates:
        return
    for phrase, kind, note in islice(_phrase_radicals(form, tag), _MOST_PHRASES):
        yield QueryKey(kind, phrase, only, note)
        yield QueryKey(kind, keyer.loose(phrase), only, note)
        for old_kind, key in keyer.old(phrase):
            yield QueryKey(old_kind, key, only, note)


_MOST_PHRASES = 64
_MOST_WORDS = 4
_MOST_REMEMBERED = 50_000  # words of each language of which it is remembered what they give


def _phrase_radicals(form: str, tag: str) -> Iterator[tuple[str, KeyKind, str]]:
    """The form with the mutations of its words undone in every combination, but for the form itself."""
    pieces = _WORD_ENDS.split(form)
    choices: list[tuple[Candidate, ...]] = []
    for place, piece in enumerate(pieces):
        is_word = place % 2 == 0 and place // 2 < _MOST_WORDS
        choices.append(unmutated_forms(piece, tag) if is_word else (Candidate(piece, "itself"),))
    if len(pieces) > 1:
        # A clitic may stand before a hyphen or an apostrophe (n-athair, d'fhan): undo it on the whole too.
        for candidate in unmutated_forms(form, tag)[1:]:
            yield candidate.text, *_explained((candidate,))
    for chosen in product(*choices):
        if any(candidate.how != "itself" for candidate in chosen):
            yield "".join(candidate.text for candidate in chosen), *_explained(chosen)


def _explained(chosen: tuple[Candidate, ...]) -> tuple[KeyKind, str]:
    kind = KeyKind.MUTATED
    notes = []
    for candidate in chosen:
        if candidate.how == "irregular":
            kind = KeyKind.INFLECTED
        if candidate.how != "itself":
            notes.append(", ".join(filter(None, (candidate.mutation.replace("_", " "), candidate.change))))
    return kind, "; ".join(notes)


_WORD_ENDS = re.compile("([ -]+)")
_NOT_WORD = re.compile(r"[^\w]+")


class Keyer:
    """Makes the keys of one language's file."""

    def __init__(self, file: LanguageFile) -> None:
        self.mutates = bool(file.mutations or file.irregular)
        self._and = file.and_word
        self._and_signs = frozenset(file.and_signs if file.and_word else ())
        self._rules: list[tuple[SpellingClass, re.Pattern[str], str]] = [
            (rule.spelling_class, re.compile(pattern), put)
            for rule in file.spellings
            for pattern, put in rule.replace
        ]
        self._any_rule = _either([pattern.pattern for _, pattern, _ in self._rules])
        self._has_loose = any(kind == "key-aggressive" for kind, _, _ in self._rules)
        self._stems = [(re.compile(pattern), put) for pattern, put in file.stems]
        self._misreadings = file.misreadings
        self._words: dict[str, _Word] = {}

    def form(self, text: str) -> str:
        """The very form, as compared."""
        form = one_spelling(text)
        if not self._and_signs.isdisjoint(form):
            words = form.split(" ")
            form = " ".join(self._and if word in self._and_signs else word for word in words)
        return form

    def loose(self, form: str) -> str:
        """A form without accents, spaces and signs."""
        return form if form.isalpha() and form.isascii() else _NOT_WORD.sub("", without_marks(form))

    def keys(self, form: str) -> dict[str, KeyKind]:
        """Every key of a form, with its kind: the form itself; then the same without spaces, accents and
        signs, where that is another text; then the rest."""
        known = self._words
        words = [known.get(word) or self._of_word(word) for word in form.replace("-", " ").split()]
        loose = "".join([word.loose for word in words])
        found = {form: KeyKind.FORM}
        put = found.setdefault
        put(loose, KeyKind.SPELLING)
        for place, word in enumerate(words):
            for stem in word.stems:
                before = "".join([w.loose for w in words[:place]])
                put(before + stem + "".join([w.loose for w in words[place + 1 :]]), KeyKind.INFLECTED)
        if self._rules:
            for kind, key in self.old(form):
                put(key, kind)
        misread = loose
        for seen, meant in self._misreadings:
            misread = misread.replace(seen, meant)
        put(misread, KeyKind.MISREAD)
        if len(words) > 1:
            for word in words:
                if word.letters > 1:
                    put(word.loose, KeyKind.WORD)
        found.pop("", None)
        return found

    def old(self, form: str) -> Iterator[tuple[KeyKind, str]]:
        """The form by the rules of old spelling; first the safe ones, then all."""
        if not self._rules:
            return
        words = [self._of_word(word) for word in form.split(" ")]
        yield KeyKind.OLD, "".join([word.old for word in words])
        if self._has_loose:
            yield KeyKind.OLD_LOOSE, "".join([word.old_loose for word in words])

    def _of_word(self, word: str) -> "_Word":
        """What a word gives; remembered, since words come again and again."""
        found = self._words.get(word)
        if found is None:
            if len(self._words) >= _MOST_REMEMBERED:
                self._words.clear()
            found = self._words[word] = _Word(
                letters=len(word),
                loose=self.loose(word),
                stems=tuple(self.loose(stem) for stem in self._stemmed(word)),
                old=self.loose(self._respelt(word, loosely=False)),
                old_loose=self.loose(self._respelt(word, loosely=True)) if self._has_loose else "",
            )
        return found

    def _respelt(self, word: str, *, loosely: bool) -> str:
        if self._any_rule and not self._any_rule.search(word):
            return word
        for kind, pattern, put in self._rules:
            if loosely or kind == "key":
                word = pattern.sub(put, word)
        return word

    def _stemmed(self, word: str) -> Iterator[str]:
        for pattern, put in self._stems:
            stem, changed = pattern.subn(put, word)
            if changed:
                yield stem


@dataclass(frozen=True, slots=True)
class _Word:
    """What one word gives to the keys of a name, without accents and signs; `letters` with them."""

    letters: int
    loose: str
    stems: tuple[str, ...]
    old: str
    old_loose: str


def _either(patterns: list[str]) -> re.Pattern[str] | None:
    """One pattern that is found where any of them is; None where they cannot be joined."""
    if not patterns or any(re.search(r"\\[1-9]|\(\?P|\(\?\(|\(\?[aiLmsux]", pattern) for pattern in patterns):
        return None
    return re.compile("|".join(f"(?:{pattern})" for pattern in patterns))


_keyers = per_language(Keyer)


def _keyer(tag: str) -> Keyer:
    return _keyers(tag)


# The headwords that a form in a text may stand for, ranked, each with how it was found.


@dataclass(frozen=True, slots=True)
class StoredKey:
    """A stored key and the headword it was made of."""

    text: str
    kind: KeyKind
    headword: str


Lookup = Callable[[Collection[str]], Iterable[StoredKey]]
"""Given texts of keys, every stored key with one of them; a query to a database, or `index_of`."""


@dataclass(frozen=True, slots=True)
class Found:
    """A headword that a form may stand for.

    Attributes:
        headword: as stored.
        how: what had to be disregarded to find it.
        note: the mutation or irregular form undone (`lenition, c > ch`); empty where none.
    """

    headword: str
    how: KeyKind
    note: str = ""


def headwords_for(form: str, tag: str, headwords: Lookup) -> tuple[Found, ...]:
    """Headwords a form may stand for, best first, each once.

    The very form comes first, then another spelling, a mutated form, an inflected one, an old spelling, a
    misreading, a single word of a longer name; equals in alphabetical order.

    Raises:
        BadInput: the tag is not well formed.
    """
    asked = {key.text: (place, key) for place, key in reversed(list(enumerate(query_keys(form, tag))))}
    best: dict[str, tuple[int, int, bytes, Found]] = {}
    for stored in headwords(asked.keys()):
        place, query = asked[stored.text]
        how = weaker(query.kind, stored.kind)
        ranked = (how.rank, place, sort_key(stored.headword, tag), Found(stored.headword, how, query.note))
        known = best.get(stored.headword)
        if known is None or ranked[:2] < known[:2]:
            best[stored.headword] = ranked
    return tuple(found for *_, found in sorted(best.values(), key=lambda ranked: ranked[:3]))


def index_of(headwords: Iterable[str], tag: str) -> Lookup:
    """A lookup in memory over a list of headwords of one language.

    Raises:
        BadInput: the tag is not well formed.
    """
    by_text: dict[str, list[StoredKey]] = {}
    for headword in headwords:
        for key in find_keys(headword, tag):
            by_text.setdefault(key.text, []).append(StoredKey(key.text, key.kind, headword))

    def look_up(texts: Collection[str]) -> Iterable[StoredKey]:
        for text in texts:
            yield from by_text.get(text, ())

    return look_up
