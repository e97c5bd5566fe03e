"""Sentences of the tool that a face may say in the reader's language.

A message is an English `str` and can be used as one anywhere. It also remembers the sentence it was made
from and the values filled in, so that a face with gettext catalogues can say it in another language. Values
may be messages themselves. Joining or cutting a message gives a plain `str`, which stays English: use
`joined`, or keep the parts in a tuple and let the face join them.
"""

from collections.abc import Iterable, Mapping
from typing import Protocol, Self

__all__ = ["Message", "Speaker", "joined", "message", "message_of_number", "plain", "spoken"]


class Speaker(Protocol):
    """What says a message in another language: gettext and ngettext of a catalogue, unfilled."""

    def one(self, text: str, /) -> str:
        """The translation of a text, with its `%(name)s` as they are."""

    def number(self, one: str, many: str, n: int, /) -> str:
        """The translation that goes with a number, with its `%(name)s` as they are."""


class Message(str):
    """An English sentence that remembers what it was made from.

    Attributes:
        template: the sentence with `%(name)s` where a value stands; empty where this is messages joined.
        many: the sentence for other numbers than one, or empty.
        values: what was filled in, by name; `n` is the number that decides between the two.
        parts: the messages that were joined, and what stands between them (`between`).
    """

    template: str
    many: str
    values: Mapping[str, object]
    parts: tuple[str, ...]
    between: str

    __slots__ = ("between", "many", "parts", "template", "values")

    def __new__(
        cls,
        text: str,
        template: str = "",
        many: str = "",
        values: Mapping[str, object] | None = None,
        parts: tuple[str, ...] = (),
        between: str = " ",
    ) -> Self:
        """The English `text` with what it was made from; `message` and its like make both."""
        made = super().__new__(cls, text)
        made.template, made.many, made.values = template, many, values or {}
        made.parts, made.between = parts, between
        return made

    def __reduce__(self) -> tuple[type[str], tuple[str]]:
        return str, (str(self),)  # in a copy kept for long only the text counts


def message(template: str, /, **values: object) -> Message:
    """A sentence with its values filled in: `message("%(word)s has no letter.", word=word)`."""
    return Message(template % values if values else template, template, "", values)


def message_of_number(one: str, many: str, n: int, /, **values: object) -> Message:
    """The sentence that goes with a number; `%(n)s` in it is the number."""
    filled = {"n": n, **values}
    return Message((one if n == 1 else many) % filled, one, many, filled)


def joined(parts: Iterable[str], between: str = " ") -> str:
    """Messages after one another, each still a message; empty ones are left out."""
    kept = tuple(part for part in parts if part)
    if len(kept) > 1:
        return Message(between.join(kept), parts=kept, between=between)
    return kept[0] if kept else ""


def plain(found: object) -> str:
    """A message as an ordinary `str`, for encoders that know no others (`enc_hook` of msgspec).

    Raises:
        NotImplementedError: it is not a message.
    """
    if isinstance(found, Message):
        return str(found)
    raise NotImplementedError(f"cannot be encoded: {type(found).__name__}")


def spoken(text: str, speaker: Speaker) -> str:
    """A text as a face says it: a message in the speaker's language, any other text as it is."""
    if not isinstance(text, Message):
        return text
    if text.parts:
        return text.between.join(spoken(part, speaker) for part in text.parts)
    if text.many:
        n = text.values["n"]
        template = speaker.number(text.template, text.many, n if isinstance(n, int) else 0)
    else:
        template = speaker.one(text.template)
    if not text.values:
        return template
    return template % {
        name: spoken(value, speaker) if isinstance(value, str) else value
        for name, value in text.values.items()
    }
