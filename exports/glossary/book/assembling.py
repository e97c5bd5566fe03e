"""Turns the record into the book: its parts, letters, index and bibliography, in order."""

from collections import defaultdict
from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from itertools import groupby
from typing import Final

import msgspec

from exports.glossary.book import wording
from exports.glossary.book.articles import article, head_of, names_of
from exports.glossary.book.book import (
    Article,
    Book,
    IndexEntry,
    IndexGroup,
    Letter,
    Name,
    Paper,
    Part,
    Ref,
    ReverseLine,
    Selection,
    Work,
)
from exports.glossary.book.front import front_matter
from exports.glossary.book.rules import chosen_codes, code_texts
from termbase.languages.alphabets import section, sort_key
from termbase.messages import message
from termbase.overviews.articles import Article as RecordArticle
from termbase.overviews.articles import Library
from termbase.record.entries import Entry, Term
from termbase.record.sources import Source, SourceKind
from termbase.voice import Voice

__all__ = [
    "Progress",
    "articles_with_progress",
    "index_of",
    "mechanics_of",
    "narrowed_words",
    "render",
    "works_of",
]

Progress = Callable[[int, int], None]
"""Called with the number done and the total."""

Item = Article | ReverseLine
Keyed = tuple[bytes, str, str, Item]
"""Sort key, id that breaks ties, section letter, the printed item."""

KIND: Final = message("Kind")
LEG: Final = message("Use of the leg")
BROKEN: Final = message("Where he is broken to")
PRESSED: Final = message("Where pressure is applied")
PAGES: Final = message("pp.")


def render(
    library: Library,
    selection: Selection = Selection(),  # noqa: B008 - frozen
    *,
    as_of: str,
    paper: Paper = "a5",
    on_progress: Progress | None = None,
) -> Book:
    """Return the book of a termbase, complete and in order; the same record gives the same book.

    Args:
        library: the articles, read once and in batches.
        selection: what goes in.
        as_of: ISO date of the edition, for the title page.
        paper: page size.
        on_progress: called after each entry read.

    Raises:
        BadInput: `as_of` is not a date.
    """
    voice = selection.voice
    as_of_words = voice.date(as_of)
    working = library.termbase.working_language
    vernaculars = selection.vernaculars_of(library.termbase)
    gathered = _Gathered(library, selection, vernaculars)
    for original in articles_with_progress(library, on_progress):
        if selection.includes(original.entry):
            gathered.add(original)
    names = [voice.language_name(tag) for tag in (working, *vernaculars)]
    codes = chosen_codes(library, selection)
    return Book(
        title=library.termbase.title,
        subtitle=_subtitle(names, selection),
        lang=voice.language,
        own_lang=wording.primary(working),
        paper=paper,
        as_of=as_of_words,
        imprint=tuple(filter(None, (library.termbase.rights, library.termbase.licence))),
        notice=library.termbase.notice,
        front=front_matter(
            codes,
            library,
            voice,
            as_of_words,
            drafts=gathered.has_drafts,
            figures=gathered.has_figures,
        ),
        parts=tuple(gathered.parts(names)),
        rules_title=voice.say(message("The rule codes in full")),
        rules=code_texts(codes, library.sources, voice),
        works_title=voice.say(message("Sources")),
        works=works_of(library.sources.values(), voice),
        index_title=voice.say(message("Index by mechanic")),
        index=gathered.index(),
        words=wording.words_of(voice),
    )


def _subtitle(names: list[str], selection: Selection) -> str:
    working, others = names[0], names[1:]
    ways = [f"{working}–{o}" for o in others] if "articles" in selection.directions else []
    ways += [f"{o}–{working}" for o in others] if "reverse" in selection.directions else []
    return ": ".join(filter(None, (selection.voice.listed(ways), narrowed_words(selection))))


def narrowed_words(selection: Selection) -> str:
    """Return the filters of the selection, for the title page; empty if there are none."""
    return selection.voice.listed([selection.voice.say(word) for word in selection.narrowed_to])


def articles_with_progress(library: Library, on_progress: Progress | None) -> Iterator[RecordArticle]:
    """Yield every article, and report progress after each."""
    total = library.reader.count(Entry)
    for done, original in enumerate(library.articles(), start=1):
        yield original
        if on_progress:
            on_progress(done, total)


class _Gathered:
    """The articles read so far, by the part they go into."""

    def __init__(self, library: Library, selection: Selection, vernaculars: tuple[str, ...]) -> None:
        self._library = library
        self._selection = selection
        self._vernaculars = vernaculars
        self._working = library.termbase.working_language
        self._articles: list[Keyed] = []
        self._headless: list[Keyed] = []
        self._pointers: dict[str, list[tuple[Name, Ref, Term]]] = defaultdict(list)
        self._mechanics: dict[str, dict[str, list[Ref]]] = defaultdict(lambda: defaultdict(list))
        self._ids: set[str] = set()
        self.has_drafts = False
        self.has_figures = False

    def add(self, original: RecordArticle) -> None:
        """Add an entry."""
        entry = original.entry
        names = names_of(original, self._selection.voice)
        made = article(original, names, self._library, self._selection, self._vernaculars)
        self._ids.add(entry.id)
        self.has_drafts |= not entry.ready
        self.has_figures |= made.figure is not None
        head = head_of(original, self._working, self._vernaculars)
        here = Ref(made.head.text, made.head.lang, entry.id)
        for title, heading in mechanics_of(entry):
            self._mechanics[title][heading].append(here)
        in_order = self._articles if head and head.language == self._working else self._headless
        in_order.append((*_place(head, entry.id), made))
        for term in entry.terms:
            is_own_head = term is head and term.language == self._working
            if term.language in (self._working, *self._vernaculars) and not is_own_head:
                self._pointers[term.language].append((_short(names[term.id]), here, term))

    def parts(self, names: list[str]) -> Iterator[Part]:
        """Yield the parts that are not empty: articles, then one reverse part for each vernacular."""
        working, *others = names
        if "articles" in self._selection.directions:
            letters = self._article_letters()
            if letters:
                title = f"{working} – {self._selection.voice.listed(others)}"
                yield Part(title, wording.primary(self._working), letters)
        if "reverse" in self._selection.directions:
            for tag, title in zip(self._vernaculars, others, strict=True):
                letters = tuple(_letters(map(self._pointing, self._lines(tag))))
                if letters:
                    yield Part(f"{title} – {working}", wording.primary(tag), letters)

    def _article_letters(self) -> tuple[Letter, ...]:
        synonyms = list(self._lines(self._working, others_only=True))
        letters = tuple(_letters(self._linked(self._articles + synonyms)))
        rest = sorted(self._linked(self._headless), key=lambda keyed: keyed[:2])
        if not rest:
            return letters
        title = self._selection.voice.say(message("Without a name in the working language"))
        return (*letters, Letter(title, tuple(keyed[3] for keyed in rest)))

    def _lines(self, tag: str, others_only: bool = False) -> Iterator[Keyed]:
        """Yield a line for each spelling and grammar in a language; homonyms share a line."""
        grouped: dict[Name, list[tuple[Ref, Term]]] = defaultdict(list)
        for short, to, term in self._pointers[tag]:
            grouped[short].append((to, term))
        for short, pointers in grouped.items():
            refs = tuple(
                dict.fromkeys(to for to, _ in pointers if not (others_only and to.text == short.text))
            )
            if refs:
                key, _, letter = _place(pointers[0][1], refs[0].to)
                yield key, refs[0].to, letter, ReverseLine(short, refs, see=others_only)

    def _linked(self, items: Iterable[Keyed]) -> list[Keyed]:
        """Return the items with references to anything not printed turned into plain text."""
        return [(*keyed[:3], self._with_links(keyed[3])) for keyed in items]

    def _pointing(self, keyed: Keyed) -> Keyed:
        """Return a line of the reverse part; if no articles are printed, its references are plain text."""
        key, entry_id, letter, line = keyed
        if "articles" in self._selection.directions or not isinstance(line, ReverseLine):
            return keyed
        refs = tuple(msgspec.structs.replace(ref, to="") for ref in line.refs)
        return key, entry_id, letter, msgspec.structs.replace(line, refs=refs)

    def _with_links(self, item: Item) -> Item:
        if isinstance(item, ReverseLine) or not item.relations:
            return item
        relations = tuple(
            msgspec.structs.replace(
                r, to=tuple(t if t.to in self._ids else msgspec.structs.replace(t, to="") for t in r.to)
            )
            for r in item.relations
        )
        return msgspec.structs.replace(item, relations=relations)

    def index(self) -> tuple[IndexGroup, ...]:
        """Return the index by mechanic; empty if the articles are not printed."""
        if "articles" not in self._selection.directions:
            return ()
        return index_of(self._mechanics, self._working, self._selection.voice)


def mechanics_of(entry: Entry) -> Iterator[tuple[str, str]]:
    """Yield the attributes (as messages) and values under which an entry is in the index by mechanic."""
    profile = entry.technique
    if entry.topic is not None:
        yield KIND, entry.topic.value
    if profile is None:
        return
    for title, stated in (
        (LEG, profile.leg_use),
        (BROKEN, profile.off_balance),
        (PRESSED, profile.pressure),
    ):
        if stated is not None and stated.value != "none":
            yield title, stated.value


def index_of(
    mechanics: Mapping[str, Mapping[str, list[Ref]]], working: str, voice: Voice
) -> tuple[IndexGroup, ...]:
    """Return the index by mechanic, from the articles by attribute and value."""
    return tuple(
        IndexGroup(voice.say(title), tuple(_index_entries(entries, working, voice)))
        for title, entries in mechanics.items()
    )


def _index_entries(entries: Mapping[str, Sequence[Ref]], working: str, voice: Voice) -> Iterator[IndexEntry]:
    by_word: dict[str, list[Ref]] = defaultdict(list)  # two values may have the same word
    for value, refs in entries.items():
        by_word[voice.word(value)].extend(refs)
    for heading in sorted(by_word, key=lambda heading: (sort_key(heading, voice.language), heading)):
        ordered = sorted(by_word[heading], key=lambda ref: (sort_key(ref.text, working), ref.to))
        yield IndexEntry(heading, tuple(ordered))


def _place(head: Term | None, entry_id: str) -> tuple[bytes, str, str]:
    """Return sort key, id and section letter of an item under a term."""
    if head is None:
        return b"", entry_id, ""
    text = head.sort_text or head.text
    return sort_key(text, head.language), entry_id, section(text, head.language)


def _short(full: Name) -> Name:
    """Return a name as the reverse part shows it."""
    return Name(
        text=full.text,
        lang=full.lang,
        sign=full.sign,
        grammar=full.grammar,
        forms=full.forms,
        origin=full.origin,
    )


def _letters(items: Iterable[Keyed]) -> Iterator[Letter]:
    ordered = sorted(items, key=lambda keyed: keyed[:2])
    for letter, under in groupby(ordered, key=lambda keyed: keyed[2]):
        yield Letter(letter, tuple(keyed[3] for keyed in under))


def works_of(sources: Iterable[Source], voice: Voice) -> tuple[Work, ...]:
    """Return the bibliography, by label."""
    return tuple(_work(s, voice) for s in sorted(sources, key=lambda s: (sort_key(s.label, "en"), s.id)))


def _work(source: Source, voice: Voice) -> Work:
    editor = voice.say(message("%(name)s (ed.)", name=source.editor)) if source.editor else ""
    made = " & ".join(filter(None, (source.author, editor)))
    where = ": ".join(filter(None, (source.place, source.publisher)))
    after = (
        voice.say(message("in %(work)s", work=source.container)) if source.container else "",
        where,
        voice.date(source.issued),
        f"{voice.say(PAGES)} {source.pages}" if source.pages else "",
        " ".join(filter(None, (source.archive, source.shelfmark))),
        source.url,
    )
    return Work(
        label=source.label,
        kind="" if source.kind is SourceKind.OTHER else voice.word(source.kind.value),
        before=made,
        title=source.title,
        after=", ".join(filter(None, after)),
        lang=wording.primary(source.language),
    )
