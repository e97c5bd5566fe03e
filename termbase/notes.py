"""What was said about the record, as it is kept: a code of ours with its values, or a person's own words.

Acts of the history, reasons and problems of a line are kept so. A code never changes, its sentence may; and a
person's words are never taken for a sentence of ours. In JSON:
`{"code": "slip.removed", "with": {"id": "q12"}}`, or `{"text": "by mistake"}`.

Which codes there are stands in `termbase.codes`, which also puts what was said into words.
"""

import re
from collections.abc import Iterator
from enum import Enum
from typing import Final, Self, TypeAlias, Union

import msgspec

__all__ = ["NOTHING_SAID", "Code", "Said", "Value", "own", "sentences_of"]

Value: TypeAlias = Union[str, int, float, "Said"]
"""What fills a place of a sentence: a text or a number as it is, or something that was said in its turn."""

_PLACE: Final = re.compile(r"%\((\w+)\)s")


class Said(msgspec.Struct, frozen=True, omit_defaults=True):
    """What was said, as the record keeps it. False where nothing was.

    Attributes:
        code: which sentence of ours; empty where a person said it. One that this version does not know comes
            from a newer one and is kept as it is.
        values: what fills the places of the sentence (`with` in JSON).
        text: a person's own words; empty where it is a sentence of ours.

    Raises:
        ValueError: it has a code and words, or values without a code.
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
        """How many deep things that were said stand within one another; 1 where none does."""
        return 1 + max((v.depth for v in self.values.values() if isinstance(v, Said)), default=0)


NOTHING_SAID: Final = Said()
"""What is kept where nothing was said."""


def own(text: "str | Said") -> Said:
    """A person's own words, to be kept as they are; what was said already stays so."""
    return text if isinstance(text, Said) else Said(text=str(text))


class Code(Enum):
    """A table of codes with their sentences: a subject has one, as a class made from this.

    `NAME = "code", "sentence with a %(place)s"`; a third text is the sentence for other numbers than one,
    which then fill `%(n)s`. Called with its values, a code gives what is kept: `Deed.SLIP_REMOVED(id="q12")`.

    Attributes:
        one: the sentence, in English.
        many: the sentence for other numbers than one, or empty.
        places: the names of its values.
    """

    one: str
    many: str
    places: frozenset[str]

    def __new__(cls, code: str, one: str, many: str = "") -> Self:
        """A member with its code and its sentences."""
        made = object.__new__(cls)
        made._value_ = code
        made.one, made.many = one, many
        made.places = frozenset(_PLACE.findall(one + many))
        return made

    def __call__(self, **values: Value) -> Said:
        """What is kept.

        Raises:
            TypeError: a value is missing, or has no place in the sentence.
        """
        if values.keys() != self.places:
            raise TypeError(f"{self.value} has the values {sorted(self.places)}, not {sorted(values)}")
        return Said(self.value, {name: _plain(value) for name, value in values.items()})


def _plain(value: Value) -> Value:
    """A text as an ordinary `str`: a message in a value stays English, as a name or a title does."""
    return str(value) if isinstance(value, str) else value


def sentences_of(codes: type[Code]) -> Iterator[str | tuple[str, str]]:
    """The sentences of a table as a catalogue keeps them: those with a number as a pair."""
    for code in codes:
        yield (code.one, code.many) if code.many else code.one
