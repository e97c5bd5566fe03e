"""What a file of another system says and the record has no field for: notes, each kept where it stood."""

from collections import defaultdict
from dataclasses import replace
from typing import Final, Protocol

from exports.tbx.categories import OTHER, Level
from exports.tbx.elements import LANG, SECTIONS, Element, category, line_text, local_name
from exports.tbx.faults import fault
from exports.tbx.foreignnotes import category_of
from exports.tbx.opening import Head
from exports.tbx.ownnotes import says_nothing
from exports.tbx.reports import Unread
from exports.tbx.tags import NOTE_LABELS
from termbase.foreignnotes import PLAIN, ForeignNote
from termbase.messages import message

__all__ = ["Kept", "language_around"]

_PLAIN_LABEL: Final = f"{PLAIN}: "


class _File(Protocol):
    head: Head
    ours: bool


class Kept:
    """The notes of one concept.

    Args:
        file: the file it stands in.
        unread: counts them.
        skips_own: leave out what an export of ours computes or says in words, since the entry is here.

    Attributes:
        language, term_id: where the reader is: in which language section, and on which name; empty for none.
        of_entry: the notes that stood with the concept or a language section.
        of_term: those that stood with a name, by its id.
    """

    def __init__(self, file: _File, unread: Unread, *, skips_own: bool) -> None:
        self._file, self._unread, self._skips_own = file, unread, skips_own
        self.language = self.term_id = ""
        self.of_entry: list[ForeignNote] = []
        self.of_term: defaultdict[str, list[ForeignNote]] = defaultdict(list)

    def element(self, element: Element, about: str, *, name: str = "") -> None:
        """Keep an element as a note, with the markup in it.

        Args:
            about: what it is said of, where it stands in a group.
            name: its data category, if that is not to be read off the element.
        """
        name, text = name or category(element), line_text(element)
        own = text.startswith(NOTE_LABELS) or name in ("projectSubset", "xGraphic")
        if self._skips_own and own:
            return
        if self._file.ours and (text == OTHER or says_nothing(text)):  # a note says what the other is
            return
        if not (text or element.get("target")):
            return
        tongue = _other_language(element) or ("" if self._file.ours else self._around())
        note = self._unread.note(
            element, self._file.head.name, category=name, about=about, language=self._section(),
            text_language=tongue,
        )  # fmt: skip
        if self._file.ours and name == PLAIN and text.startswith(_PLAIN_LABEL):
            note = _without_label(note)  # our export puts it before a note that begins like one of ours
        self._add(note)
        self.markup(element, about)

    def text(self, name: str, text: str, about: str = "") -> None:
        """Keep a text as a note of a category."""
        self._unread.kept[name] += 1
        self._add(
            ForeignNote(
                category=name, text=text, file=self._file.head.name, about=about, language=self._section(),
                text_language=self._around(),
            )
        )  # fmt: skip

    def markup(self, element: Element, about: str) -> None:
        """Count the markup in a text; what it points at, and in which language it is, is kept."""
        for inner in element.iterdescendants():
            if not isinstance(inner.tag, str):
                raise fault(message("There is a reference to an entity; entities are not read."), element)
            language = _other_language(inner)
            if inner.get("target") or language:
                name = local_name(inner)
                self._add(
                    self._unread.note(
                        inner, self._file.head.name, category=name, about=about, language=self._section(),
                        text_language=language or self._around(),
                    )
                )  # fmt: skip
            else:
                told = message("markup %(name)s (its text was kept)", name=local_name(inner))
                self._unread.dropped[told] += 1

    def _section(self) -> str:
        return "" if self.term_id else self.language

    def _around(self) -> str:
        """The language of the file where no section gives another: ours may have another than that."""
        return "" if self.language else self._file.head.language

    def _add(self, note: ForeignNote) -> None:
        level = Level.TERM if self.term_id else Level.LANGUAGE if self.language else Level.CONCEPT
        self._unread.placed[level.value] += 1
        if note.category != PLAIN and category_of(note, level) is None:
            self._unread.in_words[note.category] += 1
        (self.of_term[self.term_id] if self.term_id else self.of_entry).append(note)


def language_around(element: Element) -> str:
    """The language of the section that an element stands in."""
    for around in element.iterancestors():
        if found := around.get(LANG) or (around.get("lang") if local_name(around) in SECTIONS else ""):
            return str(found)
    return ""


def _other_language(element: Element) -> str:
    """The language an element says it is in, where that is another than that around it."""
    language = str(element.get(LANG) or "")
    return "" if language == language_around(element) else language


def _without_label(note: ForeignNote) -> ForeignNote:
    return replace(note, text=note.text.removeprefix(_PLAIN_LABEL))
