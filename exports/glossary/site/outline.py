"""What the site contains and where.

It is read once, before any page is written, and small enough to keep in memory.
"""

from collections import defaultdict
from collections.abc import Iterable, Iterator
from dataclasses import dataclass, field
from itertools import groupby

from exports.glossary.book import wording
from exports.glossary.book.assembling import mechanics_of
from exports.glossary.book.book import Ref, Selection
from termbase.evidence.scales import known_origin
from termbase.languages.alphabets import section, sort_key
from termbase.overviews.articles import Library
from termbase.record.cautions import injury_of
from termbase.record.entries import Entry, Origin, Term, heads
from termbase.record.sources import Slip
from termbase.record.trials import Trial
from termbase.store.keys import keys_of
from termbase.voice import Voice

__all__ = ["EntryPlace", "Listed", "Outline", "Section", "outline_of", "slug"]

Keys = tuple[tuple[str, int], ...]
"""The search keys of a name, each with the rank of its kind."""


@dataclass(frozen=True, slots=True)
class Listed:
    """A name in the list of its language."""

    key: bytes
    letter: str
    text: str
    language: str
    sign: str
    origin: str
    grammar: str
    entry_id: str
    is_head: bool
    keys: Keys


@dataclass(frozen=True, slots=True)
class EntryPlace:
    """Where an entry is listed.

    Attributes:
        heads: its headwords by language tag.
        under: the tag it is listed under.
        draft: whether it is a draft.
        hurt: whether someone was hurt in a trial of it.
    """

    heads: dict[str, str]
    under: str
    draft: bool
    hurt: bool = False


@dataclass(frozen=True, slots=True)
class Section:
    """The names under one letter of one language."""

    letter: str
    slug: str
    names: tuple[Listed, ...]


@dataclass
class Outline:
    """What the site contains.

    Attributes:
        languages: tags, the working language first.
        entries: every entry of the site by id, in the order of its pages.
        sections: by language tag, the letters in the order of the alphabet with their names.
        mechanics: by attribute and value, the entries.
        drafts: how many entries are drafts.
    """

    languages: tuple[str, ...]
    entries: dict[str, EntryPlace] = field(default_factory=dict)
    sections: dict[str, tuple[Section, ...]] = field(default_factory=dict)
    mechanics: dict[str, dict[str, list[Ref]]] = field(default_factory=dict)
    drafts: int = 0


def outline_of(library: Library, selection: Selection) -> Outline:
    """Read every entry in the selection, with its slips; trials and verdicts are read later."""
    vernaculars = selection.vernaculars_of(library.termbase)
    hurt = {trial.entry_id for trial in library.reader.all(Trial) if injury_of(trial)}
    outline = Outline((library.termbase.working_language, *vernaculars))
    named: dict[str, list[Listed]] = defaultdict(list)
    places: dict[str, EntryPlace] = {}
    order: dict[str, tuple[int, bytes]] = {}
    for entry, slips in _chosen(library, selection):
        mine = heads(entry)
        under = next((tag for tag in outline.languages if tag in mine), "")
        places[entry.id] = EntryPlace(
            {t: mine[t].text for t in outline.languages if t in mine},
            under,
            not entry.ready,
            entry.id in hurt,
        )
        for term in entry.terms:
            if term.language in outline.languages:
                is_head = mine[term.language] is term
                origin = known_origin(term, slips.get(term.id, ()))
                named[term.language].append(_listed(term, origin, entry.id, is_head, selection.voice))
        order[entry.id] = _place(mine, under, outline.languages)
        for title, heading in mechanics_of(entry):
            text = mine[under].text if under else entry.id
            ref = Ref(text, wording.primary(under), entry.id)
            outline.mechanics.setdefault(title, {}).setdefault(heading, []).append(ref)
    outline.entries = {i: places[i] for i in sorted(places, key=lambda i: (order[i], i))}
    outline.drafts = sum(place.draft for place in places.values())
    for tag in outline.languages:
        outline.sections[tag] = tuple(_sections(named[tag]))
    return outline


def slug(letter: str) -> str:
    """Return a letter as part of a file name: `ch`, `c-h` for c’h, `other` for figures and signs."""
    if letter == "#":
        return "other"
    plain = "".join("-" if c in "'’" else c for c in letter.lower())
    if plain.isascii():
        return plain
    return "u" + "-".join(f"{ord(c):04x}" for c in plain)


def _chosen(library: Library, selection: Selection) -> Iterator[tuple[Entry, dict[str, tuple[Slip, ...]]]]:
    """Yield each entry with the slips of its batch, by term id."""
    for batch in library.reader.entries():
        chosen = tuple(entry for entry in batch if selection.includes(entry))
        slips = library.reader.slips_of(chosen)
        for entry in chosen:
            yield entry, slips


def _listed(term: Term, origin: Origin, entry_id: str, is_head: bool, voice: Voice) -> Listed:
    text = term.sort_text or term.text
    return Listed(
        key=sort_key(text, term.language),
        letter=section(text, term.language),
        text=term.text,
        language=term.language,
        sign=wording.ORIGIN_SIGNS[origin],
        origin=voice.word(origin.alone),
        grammar=wording.grammar(term, voice),
        entry_id=entry_id,
        is_head=is_head,
        keys=tuple(sorted(keys_of(term).items(), key=lambda pair: (pair[1], pair[0]))),
    )


def _place(mine: dict[str, Term], under: str, languages: tuple[str, ...]) -> tuple[int, bytes]:
    if not under:
        return len(languages), b""
    head = mine[under]
    return languages.index(under), sort_key(head.sort_text or head.text, under)


def _sections(names: Iterable[Listed]) -> Iterator[Section]:
    ordered = sorted(names, key=lambda n: (n.key, n.entry_id))
    for letter, under in groupby(ordered, key=lambda n: n.letter):
        yield Section(letter, slug(letter), tuple(under))
