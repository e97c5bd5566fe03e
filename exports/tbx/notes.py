"""Writes what TBX-Basic can hold only in words: verdicts, relations, figures, trials, evidence, other notes.

`NoteWriter` writes notes that came from other files: in TBX-Basic in their own data category if it is allowed
there, otherwise in a note. The import report uses the same rule (`category_of`) to predict what exports will
do with each note.
"""

from collections.abc import Collection, Iterable
from typing import Final

from exports.tbx.categories import CATEGORIES, Category, Level
from exports.tbx.context import WORDS_LANGUAGE, Context, is_english
from exports.tbx.plans import Element, Values
from exports.tbx.tags import FIELDS, NOTE_LABELS, OPEN, Fate
from exports.tbx.wording import Wording
from exports.tbx.xmltext import language_attribute, web_address, xml_id
from termbase.codes.wording import statement_text_in_english
from termbase.fields.declarations import fields_of
from termbase.languages import tags
from termbase.overviews.articles import Article, Related
from termbase.record.entries import Analogue, Entry, Figure, Ruling
from termbase.record.foreign_notes import PLAIN, ForeignNote
from termbase.record.trials import Trial

__all__ = ["NoteWriter", "Remarks", "category_of"]


class Remarks:
    """Writes remarks to a list of text pieces, and counts them.

    Attributes:
        words_language: the tag for English words in a data category, if the working language is not English.
    """

    def __init__(self, context: Context) -> None:
        self._context = context
        self._wording = Wording(context.library)
        self._opening = context.notes_in(context.working_language)
        self._order = {tag: rank for rank, tag in enumerate(context.library.termbase.languages)}
        # Topics, kinds of relation and verdicts are English words in a section of the working language.
        self.words_language = "" if is_english(context.working_language) else WORDS_LANGUAGE

    def category(self, out: list[str], category: str, value: str, *, target: str = "") -> None:
        """Write a data category with an English word."""
        style = self._context.style
        start = style.start(category, target=target, language=self.words_language)
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
            words = OPEN
            if signature.signed:
                words = f"{signature.by}, {signature.on}"
            elif signature.reopened:
                words = f"{OPEN}; {statement_text_in_english(signature.reopened)}"
            self._context.note(out, self._opening, path, words)

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


_NEVER: Final = frozenset({"context", "crossReference", "definition", "responsibility", "transactionType"})
"""Categories that belong in groups, or point into their own file; they are written in words instead."""
_WORDED: Final = ("category", "text", "target")
_COUNTED: Final = tuple(
    (
        field.name,
        f"note.{field.name}",
        None if field.name in _WORDED else FIELDS[f"note.{field.name}"].fate or Fate.LEFT_OUT,
    )
    for field in fields_of(ForeignNote)
)
"""The fields of a note, by name and path, and what happens to each; None if it is written in words when
the note has no data category."""


def category_of(note: ForeignNote, level: Level, taken: Collection[str] = ()) -> Category | None:
    """Return the TBX-Basic data category for a note at a level; None if only a note element can hold it.

    Args:
        taken: categories that the record itself fills there and that a name can have only once.
    """
    category = CATEGORIES.get(note.category)
    if category is None or note.about or category.name in _NEVER or level not in category.levels:
        return None
    if (category.values and note.text not in category.values) or (
        category.element == "termNote" and category.name in taken
    ):
        return None
    if category.target == "external":
        return category if web_address(note.target) else None
    return None if note.target or not note.text else category


class NoteWriter:
    """Writes notes that came from other files, and counts those of TBX-Basic."""

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
            front: receives the note if its place is right after the term.
            out: receives it otherwise.
            note: the note.
            level: the level at which it is written.
            section: the language of the section.
            taken: see `category_of`.
        """
        context = self._context
        own = note.text_language.strip()
        language = own if own and own != section and tags.is_well_formed(own) else ""
        category = category_of(note, level, taken)
        fate = Fate.CARRIED if category is not None or note.category == PLAIN else Fate.NOTED
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
        context.count([(own_fate or fate, path) for name, path, own_fate in _COUNTED if getattr(note, name)])
