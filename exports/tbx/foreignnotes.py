"""Writes notes from elsewhere: in TBX-Basic in their own data category if it is allowed there, otherwise in a
note.

The writer and the import report, which says what exports will do with each note, use the same rule.
"""

from collections.abc import Collection, Iterable
from typing import Final

from exports.tbx.categories import CATEGORIES, Category, Level
from exports.tbx.context import Context
from exports.tbx.plans import Element, Values
from exports.tbx.tags import FIELDS, NOTE_LABELS, Fate
from exports.tbx.xmltext import language_attribute, web_address
from termbase.fields.declarations import fields_of
from termbase.languages import tags
from termbase.record.foreign_notes import PLAIN, ForeignNote

__all__ = ["NoteWriter", "category_of"]

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
