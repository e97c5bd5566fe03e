"""Notes from elsewhere in TBX-Basic: in their own data category where it may stand there, else in a note.

One rule for the writer, and for the report of an import that says what an export will make of them.
"""

from collections.abc import Collection
from typing import Final

from exports.tbx.categories import CATEGORIES, Category, Level
from exports.tbx.context import Context
from exports.tbx.tags import NOTE_LABELS
from exports.tbx.xmltext import language_attribute, web_address
from termbase import tags
from termbase.foreignnotes import PLAIN, ForeignNote

__all__ = ["NoteWriter", "category_of"]

_NEVER: Final = frozenset({"context", "crossReference", "definition", "responsibility", "transactionType"})
"""Categories that stand in groups, or point into their own file: what is left of them is told in words."""


def category_of(note: ForeignNote, level: Level, taken: Collection[str] = ()) -> Category | None:
    """The data category of TBX-Basic that a note can stand in at a level; None where only a note can hold it.

    Args:
        taken: categories that the record itself fills there, of those that a name has once.
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
    """Writes notes from elsewhere into a list of pieces of text, and counts them."""

    def __init__(self, context: Context) -> None:
        self._context = context

    def term_notes(
        self, notes: tuple[ForeignNote, ...], section: str, taken: Collection[str]
    ) -> tuple[str, tuple[ForeignNote, ...]]:
        """Those notes on a name that stand right behind its term, as text; and the others."""
        first: list[str] = []
        rest = []
        for note in notes:
            category = category_of(note, Level.TERM, taken)
            if category is not None and category.element == "termNote":
                self._write(first, note, category, section)
            else:
                rest.append(note)
        return "".join(first), tuple(rest)

    def write(
        self, out: list[str], note: ForeignNote, level: Level, section: str, taken: Collection[str] = ()
    ) -> None:
        """Write a note at a level; `section` is the language there."""
        category = category_of(note, level, taken)
        if category is not None:
            self._write(out, note, category, section)
            return
        words = note.words()
        if words.startswith(NOTE_LABELS):  # else our own import would take it for a field of the record
            words = f"{PLAIN}: {words}"
        language = language_attribute(self._language(note, section))
        out.append(f"<note{language}>{self._context.escaper.text(words)}</note>\n")
        counts = self._context.tally.carried if note.category == PLAIN else self._context.tally.noted
        self._count(note, counts)

    def _write(self, out: list[str], note: ForeignNote, category: Category, section: str) -> None:
        dialect, escape = self._context.dialect, self._context.escaper.text
        target = web_address(note.target).replace("&", "&amp;")
        start = dialect.start(category.name, target=target, language=self._language(note, section))
        out.append(f"{start}{escape(note.text)}{dialect.end(category.name)}\n")
        self._count(note, self._context.tally.carried)

    def _language(self, note: ForeignNote, section: str) -> str:
        tag = note.text_language.strip()
        return tag if tag and tag != section and tags.is_well_formed(tag) else ""

    def _count(self, note: ForeignNote, counts: dict[str, int]) -> None:
        tally = self._context.tally
        for name in ("category", "text", "target"):
            if getattr(note, name):
                counts[f"note.{name}"] += 1
        for name in ("language", "text_language"):
            if getattr(note, name):
                tally.carried[f"note.{name}"] += 1
        if note.about:
            tally.noted["note.about"] += 1
        for name in ("file", "accepted_by", "accepted_on"):
            if getattr(note, name):
                tally.left_out[f"note.{name}"] += 1
