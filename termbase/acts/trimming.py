"""Set aside lines that break a rule code; lines that belong to entries stay, and their entry gets a note."""

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


# Judge whole pages of a word-list in the record under a rule code.
#
# Nothing is written here. A page may have many thousands of lines, so names are compared in memory and an
# entry is judged once, however many lines lead to it.

Names = list[tuple[str, str]]


@dataclass(frozen=True)
class Trim:
    """The lines of pages judged under a code, without page furniture.

    Attributes:
        code: the code.
        lines: in order of page and place; those set aside already are not among them.
        set_aside: how many those are.
        labels: the style labels of the lines, commonest first, with the number of lines of each.
    """

    code: RuleCode
    lines: tuple[JudgedLine, ...]
    set_aside: int
    labels: tuple[tuple[str, int], ...]

    def count(self, lot: Group) -> int:
        """Return how many lines are in a group."""
        return sum(1 for one in self.lines if one.lot is lot)

    def with_other_styles(self, labels: Collection[str]) -> "Trim":
        """Return the same with these style labels marked as another style."""
        out = frozenset(labels) & {label for label, _ in self.labels}
        return replace(self, lines=tuple(labelled(one, out) for one in self.lines)) if out else self


@dataclass
class _Known:
    """What is read of an entry to judge it: its names as (text, language, is a head), and the rest."""

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
        pages: pages of it, in the order wanted.
        code: the rule code.

    Raises:
        BadInput: the word-list's pattern, the years of a clause or the period of the code cannot be read.
    """
    languages = list_languages(reader, pattern_of(source))
    lines = [line for page in pages for line in _records(reader, page)]
    left = [line for line in lines if line.state is not LineState.SET_ASIDE]
    alike = _resemblances(reader, left, languages)
    ids = dict.fromkeys(i for line in left for i in line.entry_ids)
    ids |= dict.fromkeys(one.entry_id for senses in alike.values() for found in senses for one in found)
    known = _entries(reader, list(ids), code)
    standings = {i: _standing(i, entry, code, languages) for i, entry in known.items()}
    judged = []
    for line in left:
        if line.entry_ids:
            ties = _bound(line)
        else:
            ties = tuple(_tie(found, known, line, languages) for found in alike.get(line.id, ())) or (
                LineLink(),
            )
        judged.append(trimmed_line(line, ties, standings))
    return Trim(code, tuple(judged), len(lines) - len(left), _counted(left))


def _records(reader: Reader, page: Page) -> list[Line]:
    found = (x for x in reader.all(Line, page_id=page.id) if x.state is not LineState.FURNITURE)
    return sorted(found, key=lambda x: x.position)


def _counted(lines: Iterable[Line]) -> tuple[tuple[str, int], ...]:
    numbers = Counter(label for x in lines for label in set(labels_of(x.parsed)) if label)
    return tuple(sorted(numbers.items(), key=lambda pair: (-pair[1], pair[0])))


def _resemblances(
    reader: Reader, lines: Sequence[Line], languages: ListLanguages
) -> dict[str, list[tuple[Resemblance, ...]]]:
    """Map each cleanly read line that belongs to no entry, by id, to what each sense certainly resembles."""
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


def _tie(
    found: Sequence[Resemblance], known: Mapping[str, _Known], line: Line, languages: ListLanguages
) -> LineLink:
    if not found:
        return LineLink()
    gives = line.parsed is not None and any(s.equivalents for s in line.parsed.senses)
    other = tags.parse(languages.equivalent).language
    compared = gives and any(
        tags.parse(language).language == other
        for one in found
        for _, language, _ in known[one.entry_id].names
    )
    whole = not compared or found[0].languages > 1
    return LineLink(LinkKind.RESEMBLES, tuple(one.entry_id for one in found), found[0].why, whole)


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


@dataclass(frozen=True)
class TrimReport:
    """What trimming did.

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
    """Set aside the open lines of pages that go under a code, each with its verdict as the reason.

    A line that belongs to entries is not touched: its slips and names are part of the record. Where it is
    chosen (or with `with_notes`), its entry gets an editor's note that says why it goes; a note that stands
    there already is not repeated.

    Args:
        source, pages, code: as for `termbase.acts.trimming.judge_pages`.
        other_styles: style labels that somebody said stand for another style.
        chosen: the lines to do, by id, with the version each was looked at in; None for every line that goes,
            but for those of which only the headword is the same as an entry's, and those that fit although
            their label was said to stand for another style.
        with_notes: where nothing is chosen, whether the entries of lines get their notes.
        on_progress: called now and then with lines seen and lines in all.

    Raises:
        Conflict: a chosen line was worked meanwhile, or does not go any more.
        BadInput: as for `trim`.
    """
    wanted = tuple(pages)
    goes = [
        one
        for one in judge_pages(act, source, wanted, code).with_other_styles(other_styles).lines
        if one.lot is Group.GOES
    ]
    if chosen is not None:
        goes = _still(goes, chosen)
    numbers = {page.id: page.number for page in wanted}
    aside: list[str] = []
    noted: list[str] = []
    left: list[tuple[Line, str]] = []
    for n, one in enumerate(goes):
        if n % CHUNK == 0 and on_progress:
            on_progress(n, len(goes))
        line = one.line
        if one.in_entries and (with_notes or chosen is not None):
            place = f"{source.label}, p. {numbers[line.page_id]}, line {line.first}"
            noted += _note(act, one, code.name, place)
        elif one.in_entries:
            left.append((line, message("it belongs to %(entries)s", entries=", ".join(line.entry_ids))))
        elif chosen is None and not one.certain:
            left.append((line, _why_looked_at(one)))
        else:
            act.put_known(
                line, replace(line, state=LineState.SET_ASIDE, reason=reason_set_aside(one, code.name))
            )
            aside.append(line.id)
    if on_progress:
        on_progress(len(goes), len(goes))
    return TrimReport(tuple(aside), tuple(dict.fromkeys(noted)), tuple(left))


def _why_looked_at(one: JudgedLine) -> str:
    """Return why a line that breaks the rules is left to a person."""
    sense = next((s for s in one.senses if s.contradicted), None)
    if sense is None:
        return message("only its headword is the same: check it first")
    return message(
        "the label “%(label)s” was marked as another style, but the verdict is “%(verdict)s”: check it first",
        label=sense.label,
        verdict=verdict_words(sense),
    )


def _still(goes: Iterable[JudgedLine], chosen: Mapping[str, int]) -> list[JudgedLine]:
    found = [one for one in goes if chosen.get(one.line.id) == one.line.version]
    missing = chosen.keys() - {one.line.id for one in found}
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
    return found


def _note(act: Act, one: JudgedLine, code_name: str, place: str) -> list[str]:
    """Add a note to each entry of a line, and return the ids of those that got one."""
    found = []
    for sense in one.senses:
        note = note_text(sense, code_name, place)
        for standing in sense.standings:
            entry = act.get(Entry, standing.entry_id)
            if not has_note(entry.editor_note, sense, code_name, place):
                text = "\n".join(filter(None, (entry.editor_note, note)))
                found.append(entry_acts.save(act, replace(entry, editor_note=text)).id)
    return found
