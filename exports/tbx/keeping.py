"""What a file of another system says and the record has no field for: notes, each kept where it stood.

Nothing that says anything is passed over: quotations become slips, all else a note marked with the file and
its data category, and counted.
"""

from typing import Final, Protocol

from exports.tbx.basicnotes import says_nothing
from exports.tbx.categories import OTHER, Level
from exports.tbx.concepts import ConceptReader
from exports.tbx.elements import (
    GROUPS,
    LANG,
    Element,
    category,
    holds_blocks,
    language_around,
    line_text,
    local_name,
    main_of,
    own_text,
)
from exports.tbx.faults import fault
from exports.tbx.foreignnotes import category_of
from exports.tbx.opening import Head
from exports.tbx.tags import NOTE_LABELS
from termbase.foreignnotes import PLAIN, ForeignNote
from termbase.messages import message

__all__ = ["Keeping"]

_PLAIN_LABEL: Final = f"{PLAIN}: "
_COMPUTED: Final = frozenset({"projectSubset", "xGraphic"})
"""What an export of ours says that is not in the record as such: verdicts, addresses of pictures."""


class _File(Protocol):
    head: Head
    ours: bool

    def known(self, entry_id: str, /) -> bool: ...
    def quotation(
        self, concept: ConceptReader, child: Element, main: Element, whose: str = "", /
    ) -> None: ...


class Keeping:
    """Keeps what a file says.

    Args:
        file: the file; of an export of ours what is computed or said in words is left out where the entry is
            here.
    """

    def __init__(self, file: _File) -> None:
        self._file = file

    def keep(self, concept: ConceptReader, child: Element, whose: str = "") -> None:
        """Keep an element with all that stands in it.

        Args:
            whose: what it is said of, where it stands in a group.
        """
        if not isinstance(child.tag, str):
            raise fault(message("There is a reference to an entity; entities are not read."), concept.element)
        if child in concept.done:
            return
        name, main = main_of(child)
        if name == "context":
            self._file.quotation(concept, child, main, whose)
        elif local_name(child) in GROUPS:
            for part in child:
                self.keep(concept, part, whose)
        elif holds_blocks(child):
            inner = ", ".join(filter(None, (whose, name)))
            if text := own_text(child):
                self.text(concept, name, text, whose)
            for part in child:
                self.keep(concept, part, inner)
        else:
            self.element(concept, child, whose)

    def element(self, concept: ConceptReader, element: Element, about: str) -> None:
        """Keep an element as one note, with the markup in it."""
        name, text, ours = category(element), line_text(element), self._file.ours
        if ours and (text.startswith(NOTE_LABELS) or name in _COMPUTED) and self._file.known(concept.id):
            return
        if ours and (text == OTHER or says_nothing(text)):  # a note says what the other is
            return
        if not (text or element.get("target")):
            return
        tongue = _other_language(element) or ("" if ours else self._around(concept))
        # Our export puts a label before a note that begins like one of ours.
        label = _PLAIN_LABEL if ours and name == PLAIN else ""
        self._add(concept, element, name, about, tongue, label)
        self.markup(concept, element, about)

    def text(self, concept: ConceptReader, name: str, text: str, about: str = "") -> None:
        """Keep a text as a note of a category."""
        concept.unread.kept[name] += 1
        note = ForeignNote(
            category=name, text=text, file=self._file.head.name, about=about,
            language=self._section(concept), text_language=self._around(concept),
        )  # fmt: skip
        self._place(concept, note)

    def markup(self, concept: ConceptReader, element: Element, about: str) -> None:
        """Count the markup in a text; what it points at, and in which language it is, is kept."""
        for inner in element.iterdescendants():
            if not isinstance(inner.tag, str):
                raise fault(message("There is a reference to an entity; entities are not read."), element)
            language, name = _other_language(inner), local_name(inner)
            if inner.get("target") or language:
                self._add(concept, inner, name, about, language or self._around(concept))
            else:
                concept.unread.dropped[message("markup %(name)s (its text was kept)", name=name)] += 1

    def _add(
        self, concept: ConceptReader, element: Element, name: str, about: str, tongue: str, label: str = ""
    ) -> None:
        note = concept.unread.note(
            element, self._file.head.name, category=name, about=about, language=self._section(concept),
            text_language=tongue, label=label,
        )  # fmt: skip
        self._place(concept, note)

    def _section(self, concept: ConceptReader) -> str:
        return "" if concept.term_id else concept.language

    def _around(self, concept: ConceptReader) -> str:
        """The language of the file where no section gives another: ours may have another than that."""
        return "" if concept.language else self._file.head.language

    def _place(self, concept: ConceptReader, note: ForeignNote) -> None:
        level = Level.TERM if concept.term_id else Level.LANGUAGE if concept.language else Level.CONCEPT
        concept.unread.placed[level.value] += 1
        if note.category != PLAIN and category_of(note, level) is None:
            concept.unread.in_words[note.category] += 1
        concept.add("foreign_notes", note)


def _other_language(element: Element) -> str:
    """The language an element says it is in, where that is another than that around it."""
    language = str(element.get(LANG) or "")
    return "" if language == language_around(element) else language
