"""Statements about the record as they are stored: a code with its values, or a person's own words.

Acts in the history, reasons, and problems of a line are stored this way. A code never changes, but its
sentence may; and a person's words are never mistaken for one of our sentences. In JSON:
`{"code": "slip.removed", "with": {"id": "q12"}}`, or `{"text": "by mistake"}`.

The codes are listed in `termbase.codes.wording`, which also renders statements as text.
"""

import re
from collections.abc import Iterator
from enum import Enum
from typing import Final, Self, TypeAlias, Union

import msgspec

__all__ = ["NOTHING_SAID", "Code", "CodedText", "Value", "own_words", "sentences_of"]

Value: TypeAlias = Union[str, int, float, "CodedText"]
"""The value of a placeholder: a text, a number, or another statement."""

_PLACE: Final = re.compile(r"%\((\w+)\)s")


class CodedText(msgspec.Struct, frozen=True, omit_defaults=True):
    """A statement as stored in the record. False if it is empty.

    Attributes:
        code: the code of one of our sentences; empty for a person's own words. An unknown code comes from a
            newer version and is kept unchanged.
        values: the values of the sentence's placeholders (`with` in JSON).
        text: a person's own words; empty if there is a code.

    Raises:
        ValueError: it has both a code and words, or values without a code.
    """

    code: str = ""
    values: dict[str, Value] = msgspec.field(name="with", default_factory=dict)
    text: str = ""

    def __post_init__(self) -> None:
        if (self.text and self.code) or (self.values and not self.code):
            raise ValueError("either a code with its values, or a person's own words")

    def __bool__(self) -> bool:
        return bool(self.code or self.text)

    def __hash__(self) -> int:
        return hash((self.code, self.text, frozenset(self.values.items())))

    @property
    def depth(self) -> int:
        """Nesting depth of statements; 1 if there are none inside."""
        return 1 + max((v.depth for v in self.values.values() if isinstance(v, CodedText)), default=0)


NOTHING_SAID: Final = CodedText()
"""The empty statement."""


def own_words(text: "str | CodedText") -> CodedText:
    """Return a person's own words as a statement; a statement is returned unchanged."""
    return text if isinstance(text, CodedText) else CodedText(text=str(text))


class Code(Enum):
    """A table of codes with their sentences; each subject has its own subclass.

    `NAME = "code", "sentence with a %(place)s"`; a third text is the plural sentence, with the number in
    `%(n)s`. Called with its values, a code returns the statement to store: `Deed.SLIP_REMOVED(id="q12")`.

    Attributes:
        one: the sentence, in English.
        many: the plural sentence, or empty.
        places: the names of its placeholders.
    """

    one: str
    many: str
    places: frozenset[str]

    def __new__(cls, code: str, one: str, many: str = "") -> Self:
        """Create a member with its code and its sentences."""
        member = object.__new__(cls)
        member._value_ = code
        member.one, member.many = one, many
        member.places = frozenset(_PLACE.findall(one + many))
        return member

    def __call__(self, **values: Value) -> CodedText:
        """Return the statement to store.

        Raises:
            TypeError: a value is missing, or the sentence has no placeholder for it.
        """
        if values.keys() != self.places:
            raise TypeError(f"{self.value} has the values {sorted(self.places)}, not {sorted(values)}")
        return CodedText(self.value, {name: _plain(value) for name, value in values.items()})


def _plain(value: Value) -> Value:
    """Return a text as a plain `str`: a message used as a value stays English, like a name or a title."""
    return str(value) if isinstance(value, str) else value


def sentences_of(codes: type[Code]) -> Iterator[str | tuple[str, str]]:
    """Return the sentences of a table for a catalogue; plural ones as pairs."""
    for code in codes:
        yield (code.one, code.many) if code.many else code.one
