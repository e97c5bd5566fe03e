"""Judge the pages of a word-list under a rule code, and set aside the lines that break it.

Lines that belong to entries stay, and their entries can get a note. A page may have many thousands of lines,
so names are compared in memory, and an entry is judged only once, however many lines lead to it.
"""

from collections import Counter
from collections.abc import Callable, Collection, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field, replace

from sqlalchemy import select

from termbase.acts import entries as entry_acts
from termbase.acts.drafting import ListLanguages, list_languages, pattern_of
from termbase.errors import Conflict
from termbase.languages import folding, tags
from termbase.messages import message
from termbase.record.entries import Entry, Ruling, Topic
from termbase.record.lines import ParsedLine, Sense
from termbase.record.pages import Line, LineState, Page
from termbase.record.sources import Source
from termbase.rules.clauses import RuleCode
from termbase.search.likeness import Resemblance, Resembler
from termbase.store import tables
from termbase.store.batches import rows_in
from termbase.store.reading import Reader
from termbase.store.rows import profile_of, word_of
from termbase.store.verdicts import judge_cached
from termbase.store.writing import Act
from termbase.technique.profile import Profile
from termbase.wordlists.trimming import (
    Group,
    JudgedLine,
    LineLink,
    LinkKind,
    Standing,
    has_note,
    labels_of,
    note_text,
    reason_set_aside,
    trimmed_line,
    verdict_words,
)
from termbase.wordlists.trimming import with_other_styles as labelled

__all__ = ["Trim", "TrimReport", "judge_pages", "set_aside_breaches"]


Names = list[tuple[str, str]]


@dataclass(frozen=True)
class Trim:
    """The lines of pages judged under a code, without page furniture.

    Attributes:
        code: the code.
        lines: in order of page and position, without those already set aside.
        set_aside: how many lines are already set aside.
        labels: the style labels of the lines, commonest first, with the number of lines of each.
    """

    code: RuleCode
    lines: tuple[JudgedLine, ...]
    set_aside: int
    labels: tuple[tuple[str, int], ...]

    def count(self, lot: Group) -> int:
        """Return how many lines are in a group."""
        return sum(1 for line in self.lines if line.lot is lot)

    def with_other_styles(self, labels: Collection[str]) -> "Trim":
        """Return a copy with these style labels marked as another style."""
        marked = frozenset(labels) & {label for label, _ in self.labels}
        return replace(self, lines=tuple(labelled(one, marked) for one in self.lines)) if marked else self


@dataclass
class _Known:
    """The parts of an entry needed to judge it; names are (text, language, is a head)."""

    names: list[tuple[str, str, bool]] = field(default_factory=list)
    topic: Topic | None = None
    profile: Profile | None = None
    ruling: Ruling | None = None


def judge_pages(
    reader: Reader,
    source: Source,
    pages: Iterable[Page],
    code: RuleCode,
) -> Trim:
    """Judge every line of pages of a word-list.

    Args:
        reader: the record.
        source: the word-list.
        pages: its pages, in the requested order.
        code: the rule code.

    Raises:
        BadInput: the word-list's pattern, the years of a clause or the period of the code cannot be read.
    """
    languages = list_languages(reader, pattern_of(source))
    lines = [line for page in pages for line in _records(reader, page)]
    open_lines = [line for line in lines if line.state is not LineState.SET_ASIDE]
    alike = _resemblances(reader, open_lines, languages)
    ids = dict.fromkeys(i for line in open_lines for i in line.entry_ids)
    ids |= dict.fromkeys(
        match.entry_id for senses in alike.values() for matches in senses for match in matches
    )
    known = _entries(reader, list(ids), code)
    standings = {i: _standing(i, entry, code, languages) for i, entry in known.items()}
    judged = []
    for line in open_lines:
        if line.entry_ids:
            links = _bound(line)
        else:
            links = tuple(_link(matches, known, line, languages) for matches in alike.get(line.id, ())) or (
                LineLink(),
            )
        judged.append(trimmed_line(line, links, standings))
    return Trim(code, tuple(judged), len(lines) - len(open_lines), _counted(open_lines))


def _records(reader: Reader, page: Page) -> list[Line]:
    lines = (x for x in reader.all(Line, page_id=page.id) if x.state is not LineState.FURNITURE)
    return sorted(lines, key=lambda x: x.position)


def _counted(lines: Iterable[Line]) -> tuple[tuple[str, int], ...]:
    numbers = Counter(label for x in lines for label in set(labels_of(x.parsed)) if label)
    return tuple(sorted(numbers.items(), key=lambda pair: (-pair[1], pair[0])))


def _resemblances(
    reader: Reader, lines: Sequence[Line], languages: ListLanguages
) -> dict[str, list[tuple[Resemblance, ...]]]:
    """Return, for each cleanly read line that belongs to no entry (by id), what each sense certainly
    resembles."""
    named = {
        x.id: list(_names(x.parsed, languages))
        for x in lines
        if x.state is LineState.NEW and x.parsed is not None and x.parsed.headword
    }
    if not named:
        return {}
    resembler = Resembler(reader)
    return {i: [resembler.surely(*names) for names in senses] for i, senses in named.items()}


def _names(parsed: ParsedLine, languages: ListLanguages) -> Iterator[tuple[Names, Names]]:
    """Yield the names of each sense: those of the headword, and those in the other language."""
    heads = [(folding.clean(text), languages.headword) for text in (parsed.headword, *parsed.variants)]
    for sense in parsed.senses or (Sense(),):
        others = [text for e in sense.equivalents for text in (e.text, *e.variants)]
        yield heads, [(folding.clean(text), languages.equivalent) for text in others]


def _bound(line: Line) -> tuple[LineLink, ...]:
    """Return the links of a line that belongs to entries, sense by sense if its senses created them."""
    if line.state is LineState.MADE and len(line.entry_ids) == len(labels_of(line.parsed)):
        return tuple(LineLink(LinkKind.MADE, (entry_id,)) for entry_id in line.entry_ids)
    return (LineLink(LinkKind.MADE if line.state is LineState.MADE else LinkKind.ATTACHED, line.entry_ids),)


def _link(
    resemblances: Sequence[Resemblance], known: Mapping[str, _Known], line: Line, languages: ListLanguages
) -> LineLink:
    if not resemblances:
        return LineLink()
    has_equivalents = line.parsed is not None and any(s.equivalents for s in line.parsed.senses)
    other = tags.parse(languages.equivalent).language
    compared = has_equivalents and any(
        tags.parse(language).language == other
        for resemblance in resemblances
        for _, language, _ in known[resemblance.entry_id].names
    )
    whole = not compared or resemblances[0].languages > 1
    entry_ids = tuple(resemblance.entry_id for resemblance in resemblances)
    return LineLink(LinkKind.RESEMBLES, entry_ids, resemblances[0].why, whole)


def _entries(reader: Reader, ids: Sequence[str], code: RuleCode) -> dict[str, _Known]:
    """Read only those parts of the entries that judging needs."""
    entry, term, ruling = tables.entry.c, tables.term.c, tables.ruling.c
    known = {i: _Known() for i in ids}
    own = select(entry.id, entry.topic, entry.technique)
    names = select(term.entry_id, term.text, term.language, term.is_head).order_by(
        term.entry_id, term.position
    )
    rulings = select(ruling.entry_id, ruling.verdict, ruling.by, ruling.on, ruling.reason).where(
        ruling.code_id == code.id
    )
    for entry_id, topic, technique in rows_in(reader.connection, own, entry.id, ids):
        known[entry_id].topic = word_of(Topic, topic, tables.entry, entry_id) if topic else None
        known[entry_id].profile = profile_of(technique, entry_id) if technique else None
    for entry_id, text, language, is_head in rows_in(reader.connection, names, term.entry_id, ids):
        known[entry_id].names.append((text, language, is_head))
    for entry_id, verdict, by, on, reason in rows_in(reader.connection, rulings, ruling.entry_id, ids):
        known[entry_id].ruling = Ruling(code.id, verdict, by, on, reason)
    return known


def _standing(entry_id: str, known: _Known, code: RuleCode, languages: ListLanguages) -> Standing:
    heads = [name for name in known.names if name[2]] or known.names
    own = tags.parse(languages.headword).language
    name = next((text for text, tag, _ in heads if tags.parse(tag).language == own), "")
    verdict = None
    if known.profile is not None:
        names = frozenset((*(text for text, _, _ in known.names), *known.profile.names))
        verdict = judge_cached(known.profile, code, names)
    return Standing(entry_id, name or (heads[0][0] if heads else ""), known.topic, verdict, known.ruling)


CHUNK = 200
"""Progress is reported once per this many lines."""


@dataclass(frozen=True)
class TrimReport:
    """The result of trimming.

    Attributes:
        aside: ids of the lines set aside.
        noted: ids of the entries that got a note.
        left: lines that break the rules but were left, each with the reason.
    """

    aside: tuple[str, ...]
    noted: tuple[str, ...]
    left: tuple[tuple[Line, str], ...]


def set_aside_breaches(
    act: Act,
    source: Source,
    pages: Iterable[Page],
    code: RuleCode,
    *,
    other_styles: Collection[str] = (),
    chosen: Mapping[str, int] | None = None,
    with_notes: bool = False,
    on_progress: Callable[[int, int], None] | None = None,
) -> TrimReport:
    """Set aside the open lines of pages that break a code, each with its verdict as the reason.

    A line that belongs to entries is not changed: its slips and names are part of the record. If it is chosen
    (or with `with_notes`), its entry gets an editor's note with the reason, unless it already has that note.

    Args:
        act, source, pages, code: as for `judge_pages`.
        other_styles: style labels marked as another style.
        chosen: the lines to set aside, by id, with the version that was shown; None for every line that
            breaks the code, except those of which only the headword is the same as an entry's, and those that
            fit although their label is marked as another style.
        with_notes: if nothing is chosen, whether the entries of lines get notes.
        on_progress: called from time to time with the number of lines done and the total.

    Raises:
        Conflict: a chosen line was changed meanwhile, or no longer breaks the code.
        BadInput: as for `judge_pages`.
    """
    wanted = tuple(pages)
    breaking = [
        judged
        for judged in judge_pages(act, source, wanted, code).with_other_styles(other_styles).lines
        if judged.lot is Group.GOES
    ]
    if chosen is not None:
        breaking = _still_breaking(breaking, chosen)
    numbers = {page.id: page.number for page in wanted}
    aside: list[str] = []
    noted: list[str] = []
    left: list[tuple[Line, str]] = []
    for n, judged in enumerate(breaking):
        if n % CHUNK == 0 and on_progress:
            on_progress(n, len(breaking))
        line = judged.line
        if judged.in_entries and (with_notes or chosen is not None):
            place = f"{source.label}, p. {numbers[line.page_id]}, line {line.first}"
            noted += _note(act, judged, code.name, place)
        elif judged.in_entries:
            left.append((line, message("it belongs to %(entries)s", entries=", ".join(line.entry_ids))))
        elif chosen is None and not judged.certain:
            left.append((line, _why_check_first(judged)))
        else:
            act.put_known(
                line, replace(line, state=LineState.SET_ASIDE, reason=reason_set_aside(judged, code.name))
            )
            aside.append(line.id)
    if on_progress:
        on_progress(len(breaking), len(breaking))
    return TrimReport(tuple(aside), tuple(dict.fromkeys(noted)), tuple(left))


def _why_check_first(judged: JudgedLine) -> str:
    """Return why a line that breaks the rules is left to a person."""
    sense = next((s for s in judged.senses if s.contradicted), None)
    if sense is None:
        return message("only its headword is the same: check it first")
    return message(
        "the label “%(label)s” was marked as another style, but the verdict is “%(verdict)s”: check it first",
        label=sense.label,
        verdict=verdict_words(sense),
    )


def _still_breaking(breaking: Iterable[JudgedLine], chosen: Mapping[str, int]) -> list[JudgedLine]:
    current = [judged for judged in breaking if chosen.get(judged.line.id) == judged.line.version]
    missing = chosen.keys() - {judged.line.id for judged in current}
    if missing:
        raise Conflict(
            message(
                "%(n)s of these lines have changed since, or should no longer be set aside; "
                "nothing was set aside.",
                n=len(missing),
            ),
            where=min(missing, key=lambda i: (len(i), i)),
            fix=message("Check the lines as they are now and choose again."),
        )
    return current


def _note(act: Act, judged: JudgedLine, code_name: str, place: str) -> list[str]:
    """Add a note to each entry of a line that lacks it, and return their ids."""
    noted = []
    for sense in judged.senses:
        note = note_text(sense, code_name, place)
        for standing in sense.standings:
            entry = act.get(Entry, standing.entry_id)
            if not has_note(entry.editor_note, sense, code_name, place):
                text = "\n".join(filter(None, (entry.editor_note, note)))
                noted.append(entry_acts.save(act, replace(entry, editor_note=text)).id)
    return noted
