"""Quotations in files of other systems: slips, each with the source that is said, or else the file itself."""

import unicodedata
from collections.abc import Sequence
from dataclasses import replace
from typing import Protocol

from exports.tbx.background import Background
from exports.tbx.elements import Element, block_of, line_text, target_of, whole_text
from exports.tbx.nameset import NameSet
from exports.tbx.opening import Head
from exports.tbx.ownnotes import read_slip_notes, read_whereabouts
from exports.tbx.reports import Unread
from termbase.entries import Definition
from termbase.sources import Certainty, Slip, SlipKind

__all__ = ["Quotations", "is_quotation"]


class _File(Protocol):
    head: Head
    ours: bool
    background_of: Background
    ids: NameSet


class Quotations:
    """The quotations of one concept.

    Attributes:
        slips: those taken so far.
    """

    def __init__(self, file: _File, unread: Unread, entry_id: str) -> None:
        self.file, self.unread, self.entry_id = file, unread, entry_id
        self.slips: list[Slip] = []

    def take(
        self, holder: Element, context: Element, source: Element | None, term_id: str, whose: str
    ) -> list[Element] | None:
        """Take a quotation, with the notes in its group that hold fields of it, which are given back; None
        where it has no text.

        Only an export of ours says what a quotation does with a name and how sure it is; of any other file
        that is not stated.

        Args:
            holder: the group that the quotation heads, or the quotation itself; its id is the slip's.
            context: the quotation.
            source: what names its source, if anything does.
            term_id: of the term in whose section it stands, if it does.
            whose: where it stands otherwise.
        """
        text = whole_text(context).strip() if self.file.ours else block_of(context)
        quoted = unicodedata.normalize("NFC", text)
        if not quoted:
            return None
        background = self.file.background_of
        target, said = ("", "") if source is None else (target_of(source), line_text(source))
        source_id = background.source_id(target, said) or background.file_source_id()
        more = background.more(target, said)
        where = read_whereabouts(more, background.issued(source_id)) if self.file.ours else None
        notes = [
            f"Source: {more}" if more and where is None else "",
            "" if term_id or self.file.ours else self._stands(whose),
        ]
        slip = Slip(
            holder.get("id") or f"{self.entry_id} slip {len(self.slips) + 1}", source_id, quoted,
            kind=SlipKind.NOT_STATED, certainty=Certainty.NOT_STATED, term_id=term_id,
        )  # fmt: skip
        slip = replace(slip, **(where or {}))  # type: ignore[arg-type]  # all of them are text
        read: list[Element] = []
        if self.file.ours:
            slip, read = read_slip_notes(holder, slip, self.file.ids)
        self.slips.append(replace(slip, note="\n".join(filter(None, (slip.note, *notes)))))
        return read

    def of_nameless(self, definitions: Sequence[Definition], notes: Sequence[str]) -> list[Slip]:
        """The slips that a concept without a term becomes: definitions, notes, quotations."""
        file_source = self.file.background_of.file_source_id()
        stands = self._stands("")
        made = [
            Slip(
                f"{self.entry_id} definition {n}",
                d.source_id or file_source,
                d.text,
                kind=SlipKind.DEFINITION,
                certainty=Certainty.NOT_STATED,
                note=f"{stands}\nIn {d.language}.",
            )
            for n, d in enumerate(definitions, 1)
        ]
        if notes:
            said = "\n".join(notes)
            made.append(
                Slip(
                    f"{self.entry_id} notes", file_source, said, kind=SlipKind.NOT_STATED,
                    certainty=Certainty.NOT_STATED, note=stands,
                )
            )  # fmt: skip
        return [*made, *self.slips]

    def _stands(self, whose: str) -> str:
        place = f"Concept {self.entry_id} of the file {self.file.head.name}"
        return f"{place}: {whose}." if whose else f"{place}."


def is_quotation(slip: Slip) -> bool:
    """Whether a slip of a concept without a term was a quotation in the file."""
    return not slip.id.endswith(" notes") and " definition " not in slip.id
