"""Writes what TBX-Basic says about a concept in words: verdicts, relations, figures, trials and evidence."""

from collections.abc import Collection, Iterable, Iterator, Mapping
from dataclasses import fields
from functools import cache
from typing import Final

from exports.tbx.categories import CATEGORIES, Category, Level
from exports.tbx.context import WORDS_LANGUAGE, Context, is_english
from exports.tbx.plans import Element, Values
from exports.tbx.tags import FIELDS, NOTE_LABELS, OPEN, Fate
from exports.tbx.xmltext import language_attribute, web_address, xml_id
from termbase.codes.wording import statement_text_in_english
from termbase.evidence.scales import Evidence
from termbase.fields.declarations import Reference, fields_of
from termbase.judging.verdict import GripChange, Missing, Reason, Verdict
from termbase.judging.wording import to_words
from termbase.languages import tags
from termbase.overviews.articles import Article, Judged, Library, Related
from termbase.record.entries import Analogue, Entry, Figure, Ruling
from termbase.record.foreign_notes import PLAIN, ForeignNote
from termbase.record.trials import Trial
from termbase.rules.clauses import RuleCode
from termbase.technique.profile import Profile, Stated
from termbase.technique.words import describe

__all__ = ["NoteWriter", "Remarks", "Wording", "category_of", "statements"]


# Words the sentences in notes, in English.

_MOST_VERDICTS = 4096
_OPENING: Final = {
    "figure": ("caption",), "analogue": ("name",), "trial": ("date", "outcome"),
    "ruling": ("code_id", "verdict", "by", "on", "reason"),
}  # fmt: skip
"""How the text of each part begins."""
_CLASSES: Final = {"figure": Figure, "analogue": Analogue, "trial": Trial, "ruling": Ruling}
_LABELS: Final = {"maker": "made by", "safety": "safety measures"}
"""Label of a field in such a text, if its own label would be unclear."""


class Wording:
    """Words what TBX-Basic has no field for; each verdict is worded once and cached."""

    def __init__(self, library: Library) -> None:
        self._names = {code.id: code.name for code in library.codes}
        self._labels = {source.id: source.label for source in library.sources.values()}
        # By identity: articles share the same verdict objects, and hashing one is slow.
        self._verdicts: dict[int, tuple[Verdict, str]] = {}

    def verdict(self, judged: Judged) -> str:
        """Return code, verdict, and its basis: each clause with its sources."""
        verdict = judged.verdict
        found = self._verdicts.get(id(verdict))
        if found is None:
            if len(self._verdicts) >= _MOST_VERDICTS:
                self._verdicts.clear()
            found = self._verdicts[id(verdict)] = (verdict, self._in_words(judged))
        return found[1]

    def part(self, kind: str, part: Analogue | Figure | Ruling | Trial) -> tuple[str, tuple[str, ...]]:
        """Return a part of an entry as one text, its main field first; never who was on the mat at a trial.

        Returns:
            the text; and the fields that it tells, that which opens it first, whether it is empty or not.
        """
        opening, fields_told, told = _OPENING[kind], _told(kind), {}
        for name, (_, to) in fields_told.items():
            if (value := getattr(part, name)) and (words := self._pointed_at(to, str(value))):
                told[name] = words
        if kind == "ruling":
            first = _ruling(told)
        else:
            first = ": ".join(told[name] for name in opening if name in told)
        more = tuple((fields_told[name][0], words) for name, words in told.items() if name not in opening)
        return _joined(first, more), tuple(dict.fromkeys((opening[0], *told)))

    def evidence(self, evidence: Evidence) -> str:
        """Return the level on the scale, then the reasons."""
        return f"{evidence.words}. {' '.join(evidence.reasons)}".rstrip()

    def technique(self, profile: Profile | None) -> str:
        """Return the technique described, then every stated attribute with its basis."""
        if profile is None:
            return ""
        stated = "; ".join(_stated(profile))
        described = f"{describe(profile)} [{stated}]" if stated else describe(profile)
        more = (("also called", ", ".join(profile.names)), ("note", profile.note))
        return _joined(described, more)

    def _pointed_at(self, to: str, value: str) -> str:
        """Return a value in words: for a source its label, for a rule code its name."""
        if to == "source":
            return self._labels.get(value, value)
        return self._names.get(value, value) if to == "code" else value

    def _in_words(self, judged: Judged) -> str:
        verdict = judged.verdict
        deciding: tuple[Reason | GripChange | Missing, ...] = (
            *verdict.breaches,
            *verdict.grips,
            *verdict.missing,
        ) or verdict.reasons
        form = " (left-handed form only)" if verdict.left_handed else ""
        said = (f"{to_words(each)}{self._cited(each, judged.code)}" for each in deciding)
        return " ".join((f"{judged.code.name}: {verdict.word}{form}.", *dict.fromkeys(said)))

    def _cited(self, said: Reason | GripChange | Missing, code: RuleCode) -> str:
        """Return the clauses that a sentence rests on, with their sources, in brackets."""
        if isinstance(said, Reason):
            clauses, sources = said.clauses, said.sources
        elif isinstance(said, Missing) and said.clause:
            clauses = (said.clause,)
            sources = next((c.sources for c in code.clauses if c.id == said.clause), ())
        else:
            return ""
        named = [f"clause {', '.join(clauses)}"] if clauses else []
        named += [self._labels.get(s, s) for s in sources]
        return f" [{'; '.join(named)}]" if named else ""


@cache
def _told(kind: str) -> Mapping[str, tuple[str, str]]:
    """Return the fields of a part that are worded, by name, with the label of each and what it refers to."""
    return {
        field.name: (
            _LABELS.get(field.name, str(field.word)),
            field.is_a.to if isinstance(field.is_a, Reference) else "",
        )
        for field in fields_of(_CLASSES[kind])
        if FIELDS[f"{kind}.{field.name}"].fate is Fate.NOTED
    }


def _ruling(told: Mapping[str, str]) -> str:
    """Return `Fair rules: fits, by A. Editor on 2020-01-02: reason`."""
    signed = " on ".join(told[name] for name in ("by", "on") if name in told)
    by = f", by {signed}" if signed else ""
    reason = f": {told['reason']}" if "reason" in told else ""
    return f"{told.get('code_id', '')}: {told.get('verdict', '')}{by}{reason}"


def _joined(first: str, more: tuple[tuple[str, str], ...]) -> str:
    rest = (f"{label}: {value}" for label, value in more if value)
    return "; ".join(filter(None, (first, *rest)))


def statements(profile: Profile) -> Iterator[tuple[str, str, Stated[object]]]:
    """Yield what is stated of a technique: the hand, if any, the name of the point, the value."""
    for hand, part in (("right", profile.right), ("left", profile.left), ("", profile)):
        for field in fields(part):
            said: object = getattr(part, field.name)
            if isinstance(said, Stated):
                yield hand, field.name, said


def _stated(profile: Profile) -> Iterator[str]:
    for hand, point, said in statements(profile):
        whose = f"{hand} hand " if hand else ""
        origin = f"{said.basis} {said.ref}".rstrip()
        yield f"{whose}{point.replace('_', ' ')}: {_value(said.value)} ({origin})"


def _value(value: object) -> str:
    if isinstance(value, bool):
        return "yes" if value else "no"
    return " or ".join(map(str, value)) if isinstance(value, tuple) else str(value)


class Remarks:
    """Writes them to a list of text pieces, and counts them.

    Attributes:
        spoken: language of the English words in a data category, if the working language is not English.
    """

    def __init__(self, context: Context) -> None:
        self._context = context
        self._wording = Wording(context.library)
        self._opening = context.notes_in(context.working_language)
        self._order = {tag: rank for rank, tag in enumerate(context.library.termbase.languages)}
        # Topics, kinds of relation and verdicts are English words in a section of the working language.
        self.spoken = "" if is_english(context.working_language) else WORDS_LANGUAGE

    def category(self, out: list[str], category: str, value: str, *, target: str = "") -> None:
        """Write a data category with an English word."""
        style = self._context.style
        start = style.start(category, target=target, language=self.spoken)
        out += (start, self._context.escape(value), style.end(category), "\n")

    def verdicts(self, out: list[str], article: Article) -> None:
        """Write every verdict with its basis, and the editor's ruling on it."""
        context = self._context
        rulings = {r.code_id: r for r in article.entry.rulings}
        for judged in article.judged:
            out.append("<adminGrp>\n")
            self.category(out, "projectSubset", f"{judged.code.id}:{judged.verdict.word}")
            context.tally.carried["verdict.word"] += 1
            context.note(out, self._opening, "verdict.reasons", self._wording.verdict(judged))
            if ruling := rulings.pop(judged.code.id, None):
                self._part(out, "ruling", ruling)
            out.append("</adminGrp>\n")
        for ruling in rulings.values():
            self._part(out, "ruling", ruling)

    def relations(self, out: list[str], article: Article) -> None:
        """Write the entry's own relations, which come first; the reverse relations are written with the
        other entries."""
        tally = self._context.tally
        for related in article.related[: len(article.entry.relations)]:
            words = f"{related.kind}: {self._name(related)}"
            if self._is_written(related):
                self.category(out, "crossReference", words, target=xml_id("entry", related.entry_id))
                tally.carried["relation.kind"] += 1
                tally.carried["relation.target_id"] += 1
            else:
                words = f"{words} ({related.entry_id}, not in this file)"
                self._context.note(out, self._opening, "relation.target_id", words)
                tally.noted["relation.kind"] += 1

    def figures(self, out: list[str], article: Article) -> None:
        """Write the figures: those on the web as such, and what is known about each."""
        tally = self._context.tally
        for figure in article.entry.figures:
            if address := web_address(figure.image_id):
                self.category(out, "xGraphic", figure.caption, target=address.replace("&", "&amp;"))
                tally.carried["figure.image_id"] += 1
            else:
                tally.left_out["figure.image_id"] += 1
            self._part(out, "figure", figure)

    def rest(self, out: list[str], article: Article) -> None:
        """Write technique, evidence, trials, analogues, and the lines of word-lists."""
        context, wording, entry = self._context, self._wording, article.entry
        context.note(out, self._opening, "entry.technique", wording.technique(entry.technique))
        if entry.technique or entry.figures:
            context.note(out, self._opening, "evidence.mechanic", wording.evidence(article.mechanic))
        if entry.technique or article.trials:
            context.note(out, self._opening, "evidence.practice", wording.evidence(article.practice))
        for trial in article.trials:
            self._part(out, "trial", trial)
            context.count_record("trial", trial, Fate.LEFT_OUT)
        for analogue in entry.analogues:
            self._part(out, "analogue", analogue)
        for line in article.lines:
            context.note(out, self._opening, "line.text", line.text)
            context.tally.left_out["line.id"] += 1

    def readings(self, out: list[str], entry: Entry) -> None:
        """Write who read the entry and when, or that nobody has."""
        for path, signature in (
            ("entry.language_reading", entry.language_reading),
            ("entry.practice_reading", entry.practice_reading),
        ):
            told = OPEN
            if signature.signed:
                told = f"{signature.by}, {signature.on}"
            elif signature.reopened:
                told = f"{OPEN}; {statement_text_in_english(signature.reopened)}"
            self._context.note(out, self._opening, path, told)

    def _part(self, out: list[str], kind: str, part: Analogue | Figure | Ruling | Trial) -> None:
        """Write a part of the entry as one note, and count each field in it."""
        text, (first, *others) = self._wording.part(kind, part)
        self._context.note(out, self._opening, f"{kind}.{first}", text)
        for name in others:
            self._context.tally.noted[f"{kind}.{name}"] += 1

    def _is_written(self, related: Related) -> bool:
        selected = self._context.selected
        if selected is not None and related.entry_id not in selected:
            return False
        return any(t.text and not t.text.isspace() for t in related.heads)

    def _name(self, related: Related) -> str:
        last = len(self._order)
        first = min(related.heads, key=lambda t: self._order.get(t.language, last), default=None)
        return first.text if first else related.entry_id


# Writes notes from elsewhere: in TBX-Basic in their own data category if it is allowed there, otherwise in
# a note.
#
# The writer and the import report, which says what exports will do with each note, use the same rule.

_NEVER: Final = frozenset({"context", "crossReference", "definition", "responsibility", "transactionType"})
"""Categories that belong in groups, or point into their own file: what remains of them is written in
words."""
_COUNTED: Final = tuple(
    (field.name, f"note.{field.name}", None if told else FIELDS[f"note.{field.name}"].fate or Fate.LEFT_OUT)
    for field in fields_of(ForeignNote)
    for told in (field.name in ("category", "text", "target"),)
)
"""The fields of a note, by name and path, and what happens to each; None if it is written in words when
the note has no data category."""


def category_of(note: ForeignNote, level: Level, taken: Collection[str] = ()) -> Category | None:
    """Return the TBX-Basic data category for a note at a level; None if only a note element can hold it.

    Args:
        taken: categories that the record itself fills there and that a name can have only once.
    """
    found = CATEGORIES.get(note.category)
    if found is None or note.about or found.name in _NEVER or level not in found.levels:
        return None
    if (found.values and note.text not in found.values) or (
        found.element == "termNote" and found.name in taken
    ):
        return None
    if found.target == "external":
        return found if web_address(note.target) else None
    return None if note.target or not note.text else found


class NoteWriter:
    """Writes notes from elsewhere, and counts those of TBX-Basic."""

    def __init__(self, context: Context) -> None:
        self._context = context
        self._element = Element(context, "note", Values(rows=False))

    def elements(self, notes: Iterable[ForeignNote]) -> str:
        """Return notes as elements of our own dialect."""
        return "".join(self._element.text(self._element.get(note)) for note in notes)

    def write(
        self,
        front: list[str],
        out: list[str],
        note: ForeignNote,
        level: Level,
        section: str,
        taken: Collection[str] = (),
    ) -> None:
        """Write a note of TBX-Basic.

        Args:
            front: takes what comes right after the term.
            out: takes all others.
            note: the note.
            level: the level at which it is written.
            section: the language of the section.
            taken: as in `category_of`.
        """
        context = self._context
        spoken = note.text_language.strip()
        language = spoken if spoken and spoken != section and tags.is_well_formed(spoken) else ""
        category = category_of(note, level, taken)
        told = Fate.CARRIED if category is not None or note.category == PLAIN else Fate.NOTED
        if category is not None:
            target = web_address(note.target).replace("&", "&amp;")
            start = context.style.start(category.name, target=target, language=language)
            piece = f"{start}{context.escape(note.text)}{context.style.end(category.name)}\n"
            (front if category.element == "termNote" else out).append(piece)
        else:
            words = note.words()
            if words.startswith(NOTE_LABELS):  # else our own import would read it as a field of the record
                words = f"{PLAIN}: {words}"
            out.append(f"<note{language_attribute(language)}>{context.escape(words)}</note>\n")
        context.count([(fate or told, path) for name, path, fate in _COUNTED if getattr(note, name)])
