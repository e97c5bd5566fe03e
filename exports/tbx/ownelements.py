"""Writes what TBX-Wordhold says about a concept in its own elements: technique, readings, parts, orders."""

from collections.abc import Mapping, Sequence
from typing import Final

import msgspec

from exports.tbx.context import Context
from exports.tbx.foreignnotes import NoteWriter
from exports.tbx.parts import NAME, NOTE
from exports.tbx.plans import Element, Part, Ready, Values, Written
from exports.tbx.tags import FIELDS
from exports.tbx.wording import statements
from exports.tbx.xmltext import xml_id
from termbase.record.entries import Signature
from termbase.record.foreign_notes import ForeignNote
from termbase.technique.profile import Profile

__all__ = ["OwnElements"]

_READINGS: Final = ("language_reading", "practice_reading")
_PARTS: Final = (("analogue", True), ("figure", True), ("ruling", False))
"""Parts of an entry that are one element each, and whether they may have a source."""


class OwnElements:
    """Writes them to a list of text pieces."""

    def __init__(self, context: Context, values: Values) -> None:
        self._context, self._escape, self._attribute = context, context.escape, context.escaper.attribute
        self._notes = NoteWriter(context)
        self._said = values.of("entry", ("technique", "foreign_notes", *_READINGS, "version"))
        self._nothing = self._said(values.new_entry)
        self._profile, self._foreign = values.within(Profile), values.within(tuple[ForeignNote, ...])
        self._states = Ready(context, self._made_state)
        self._signature = values.within(Signature)
        self._relation = values.texts("relation", ("kind", "target_id"))
        self._parts = tuple(
            (Element(context, record, values), values.text(record, "source_id") if cited else None)
            for record, cited in _PARTS
        )
        self._term_id = values.text("term", "id")

    def concept(self, out: list[str], entry: Part, told: str) -> None:
        """Write the technique; `told`, the plain elements; notes from elsewhere, readings, version."""
        said = self._said(entry)
        if said == self._nothing:
            out.append(told)
            return
        technique, notes, *state = said
        if technique is not None:
            self._technique(out, technique)
        out.append(told)
        if notes != self._nothing[1]:
            out.append(self._notes.elements(self._foreign(notes)))
        out.append(self._states[tuple(state)].front)

    def parts(self, out: list[str], relations: Sequence[Part], others: Sequence[Sequence[Part]]) -> None:
        """Write relations, then analogues, figures and rulings, each with its source."""
        selected, style = self._context.selected, self._context.style
        for relation in relations:
            kind, target = self._relation(relation)
            # The target of a relation always exists; in a selection, it must be among the entries written.
            if selected is None or target in selected:
                start = style.start("crossReference", target=xml_id("entry", target))
                out.append(f"{start}{kind}{style.end('crossReference')}\n")
            else:
                start = f'<wh:relationOutside entry="{self._attribute(target)}">'
                out.append(f"{start}{kind}</wh:relationOutside>\n")
        for (element, source), those in zip(self._parts, others, strict=False):
            for part in those:
                text, cited = element.text(element.get(part)), source(part) if source else ""
                if cited:
                    text = f"<descripGrp>\n{text}{self._context.cite(cited).closed}</descripGrp>\n"
                out.append(text)

    def order_of_definitions(
        self, out: list[str], recorded: Sequence[object], in_file: Sequence[object]
    ) -> None:
        """Write the order of the definitions in the record, if the file has them in another order."""
        # By position, not by value: two definitions may be equal.
        order = {id(definition): place for place, definition in enumerate(in_file)}
        places = [order[id(definition)] for definition in recorded]
        if places != sorted(places):
            out.append(f"<wh:definitionOrder>{' '.join(map(str, places))}</wh:definitionOrder>\n")

    def order_of_terms(
        self, out: list[str], recorded: Sequence[Part], sections: Mapping[str, Sequence[Part]]
    ) -> None:
        """Write the order of the terms in the record, if their sections have them in another order."""
        if [term for those in sections.values() for term in those] != recorded:
            ids = " ".join(xml_id("term", self._term_id(term)) for term in recorded)
            out.append(f"<wh:termOrder>{ids}</wh:termOrder>\n")

    def _technique(self, out: list[str], technique: object) -> None:
        """Write an element for each stated point, each further name, and the note."""
        profile, before = self._profile(technique), len(out)
        for hand, point, said in statements(profile):
            value = said.value
            if isinstance(value, bool):
                text = "yes" if value else "no"
            else:
                text = "; ".join(value) if isinstance(value, tuple) else str(value)
            told = {"point": f"{hand}.{point}" if hand else point, "basis": said.basis, "ref": said.ref}
            out.append(f"<wh:technique{self._attributes(told)}>{self._escape(text)}</wh:technique>\n")
        more = [*((NAME, name) for name in profile.names), *((NOTE, n) for n in (profile.note,) if n)]
        out += (f'<wh:technique point="{p}">{self._escape(text)}</wh:technique>\n' for p, text in more)
        if len(out) == before:
            out.append("<wh:technique/>\n")

    def _made_state(self, key: tuple[object, ...]) -> Written:
        *readings, version = key
        out = []
        for name, value in zip(_READINGS, readings, strict=True):
            signature = self._signature(value)
            reopened = msgspec.json.encode(signature.reopened).decode() if signature.reopened else ""
            told = self._attributes({"by": signature.by, "on": signature.on, "reopened": reopened})
            if told:
                out.append(f"<{FIELDS[f'entry.{name}'].tag}{told}/>\n")
        if version != 1:
            out.append(f"<wh:version>{version}</wh:version>\n")
        return Written("".join(out))

    def _attributes(self, told: Mapping[str, str]) -> str:
        return "".join(f' {name}="{self._attribute(text)}"' for name, text in told.items() if text)
