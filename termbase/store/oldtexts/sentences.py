"""Which sentence of an earlier version a text is, and what filled its places."""

import re
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from functools import cached_property
from types import MappingProxyType
from typing import Final, TypeAlias

__all__ = ["Kept", "Sentence", "Sentences"]

Kept: TypeAlias = "dict[str, object]"
"""What is kept now, as JSON: `{"code": ..., "with": {...}}`, or `{"text": ...}`."""

_PLACE: Final = re.compile(r"%\((\w+)\)s")
_SHAPES: Final = MappingProxyType(
    {"id": r"\S+", "other": r"\S+", "date": r"\d{4}-\d\d-\d\d", "n": r"\d{1,15}", "number": r".*?"}
)
"""What can stand in a place, by its name; anything in all others."""
_DEEPEST: Final = 100
"""Texts within one another that are read; what is deeper stays a text."""


@dataclass(frozen=True)
class Sentence:
    """A sentence that was kept.

    Attributes:
        template: with `%(name)s` where a value stood.
        code: what it is now; a value has the name of its place, `n` is a number.
        more: values that the template says itself.
        within: sentences that may fill a place, by its name.
        itself: the place that another text of the same kind fills.
    """

    template: str
    code: str
    more: Mapping[str, object] = field(default_factory=dict)
    within: Mapping[str, "Sentences"] = field(default_factory=dict)
    itself: str = ""

    @property
    def own_length(self) -> int:
        """How many characters are its own."""
        return len(_PLACE.sub("", self.template))

    @cached_property
    def pattern(self) -> re.Pattern[str]:
        """The texts that it makes."""
        pieces = _PLACE.split(self.template)  # texts and names by turns
        shapes = (
            f"(?P<{piece}>{_SHAPES.get(piece, '.*')})" if n % 2 else re.escape(piece.replace("%%", "%"))
            for n, piece in enumerate(pieces)
        )
        return re.compile("".join(shapes), re.DOTALL)


class Sentences:
    """The sentences of one kind of text: of those that fit, the one with most words of its own made it."""

    def __init__(self, sentences: Iterable[Sentence]) -> None:
        self._sentences = sorted(sentences, key=lambda sentence: -sentence.own_length)

    def read(self, text: str, _depth: int = 1) -> Kept:
        """A text as it is kept now; one that no sentence made is somebody's own words."""
        for sentence in self._sentences if _depth <= _DEEPEST else ():
            found = sentence.pattern.fullmatch(text)
            if found:
                return self._kept(sentence, found, _depth)
        return {"text": text} if text else {}

    def _kept(self, sentence: Sentence, found: re.Match[str], depth: int) -> Kept:
        values: dict[str, object] = dict(sentence.more)
        for name, value in found.groupdict().items():
            inner = self if name == sentence.itself else sentence.within.get(name)
            if inner is not None:
                values[name] = inner.read(value, depth + 1)
            else:
                values[name] = int(value) if name == "n" else value
        return {"code": sentence.code, "with": values} if values else {"code": sentence.code}
