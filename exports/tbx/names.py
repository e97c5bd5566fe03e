"""Names of data categories and values in files of other systems, and what they are here.

Sources: the modules Min and Basic of TBX-Basic (ISO 30042:2019), the published Linguist module for number and
register; for files of 2008 the names of ISO 30042:2008 as TBX-Basic of that time used them, and those of the
first TBX-Min (root `TBX`, entry, langGroup, termGroup), both from memory.
"""

from collections.abc import Mapping
from types import MappingProxyType
from typing import Final

from exports.tbx.categories import OTHER
from exports.tbx.tags import FIELDS
from termbase.entries import Gender, Number, PartOfSpeech, Register, RelationKind, Status, TermType, Topic

__all__ = [
    "CLOSED",
    "FREE",
    "read_relation",
    "read_topic",
    "says_relation",
]

_POS = {v: PartOfSpeech(k) for k, v in (FIELDS["term.part_of_speech"].values or {}).items() if v != OTHER}
_GENDERS = {v: Gender(k) for k, v in (FIELDS["term.gender"].values or {}).items() if v != OTHER}
_STATUSES = {v: Status(k) for k, v in (FIELDS["term.status"].values or {}).items()}
_TYPES = {v: TermType(k) for k, v in (FIELDS["term.type"].values or {}).items()}
_NUMBERS = {n.value: n for n in (Number.SINGULAR, Number.PLURAL, Number.DUAL, Number.MASS)}
_REGISTERS = {
    f"{r.value}Register": r
    for r in (Register.NEUTRAL, Register.TECHNICAL, Register.COLLOQUIAL, Register.SLANG)
}

CLOSED: Final[Mapping[str, tuple[str, Mapping[str, object]]]] = MappingProxyType(
    {
        "partOfSpeech": ("part_of_speech", _POS),
        "grammaticalGender": ("gender", _GENDERS),
        "grammaticalNumber": ("number", _NUMBERS),
        "register": ("register", _REGISTERS),
        "termType": ("type", _TYPES),
        "administrativeStatus": ("status", _STATUSES),
        # ISO 30042:2008: normative authorization says the same in other words.
        "normativeAuthorization": (
            "status",
            {f"{s.value}Term": s for s in Status},
        ),
        # The first TBX-Min, from memory.
        "termStatus": (
            "status",
            {
                "preferred": Status.PREFERRED,
                "admitted": Status.ADMITTED,
                "notRecommended": Status.DEPRECATED,
                "obsolete": Status.SUPERSEDED,
            },
        ),
    }
)
"""Data categories of a term with a picklist: the field, and the record's value by that of the picklist. What
is not here is kept as a note."""

FREE: Final[Mapping[str, str]] = MappingProxyType(
    {"geographicalUsage": "region", "pronunciation": "pronunciation", "usageNote": "usage_note"}
)
"""Data categories of a term that are free text here too."""


def read_topic(text: str) -> Topic | None:
    """The topic of this word; none where it is not one of ours."""
    word = text.strip().casefold()
    return Topic(word) if word in Topic._value2member_map_ else None


def read_relation(text: str) -> RelationKind:
    """The kind that the text of a cross-reference begins with (`broader: trip`), else *see also*."""
    word = _first_word(text)
    return RelationKind(word) if word in RelationKind._value2member_map_ else RelationKind.SEE_ALSO


def says_relation(text: str) -> bool:
    """Whether a text begins with a kind of relation, or says nothing."""
    return not text or _first_word(text) in RelationKind._value2member_map_


def _first_word(text: str) -> str:
    return text.partition(":")[0].strip().casefold()
