"""Sentences of the tool that a face may say in the reader's language.

A message is an English `str` and can be used as one anywhere. It also remembers the sentence it was made
from and the values filled in, so that a face with gettext catalogues can say it in another language. Values
may be messages themselves. Joining or cutting a message gives a plain `str`, which stays English: use
`joined`, or keep the parts in a tuple and let the face join them.
"""

from collections.abc import Callable, Iterable, Mapping
from types import MappingProxyType
from typing import Protocol

__all__ = [
    "Message", "Speaker", "joined", "listed_words", "message", "message_of_number", "plain",
    "rendered", "spoken", "unstopped",
]  # fmt: skip


class Speaker(Protocol):
    """What says a message in another language: gettext and ngettext of a catalogue, unfilled.

    Attributes:
        language: BCP 47 tag of that language.
    """

    @property
    def language(self) -> str:
        """BCP 47 tag of the language spoken."""

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
        by: says it where no template does: a date, the name of a language.
    """

    # what a message does not have stands in the class: thousands are made for each that is shown
    template: str = ""
    many: str = ""
    values: Mapping[str, object] = MappingProxyType({})
    parts: tuple[str, ...] = ()
    between: str = " "
    by: Callable[[Speaker], str] | None = None

    def __reduce__(self) -> tuple[type[str], tuple[str]]:
        return str, (str(self),)  # in a copy kept for long only the text counts


def message(template: str, /, **values: object) -> Message:
    """A sentence with its values filled in: `message("%(word)s has no letter.", word=word)`.

    >>> message("%(word)s has no letter.", word="12")
    '12 has no letter.'
    """
    made = Message(template % values if values else template)
    made.template, made.values = template, values
    return made


def message_of_number(one: str, many: str, n: int, /, **values: object) -> Message:
    """The sentence that goes with a number; `%(n)s` in it is the number.

    >>> message_of_number("%(n)s entry", "%(n)s entries", 2)
    '2 entries'
    """
    filled = {"n": n, **values}
    made = Message((one if n == 1 else many) % filled)
    made.template, made.many, made.values = one, many, filled
    return made


def rendered(text: str, by: Callable[[Speaker], str]) -> Message:
    """A text that each language makes by rules of its own; `text` is what it is in English."""
    made = Message(text)
    made.by = by
    return made


def joined(parts: Iterable[str], between: str = " ") -> str:
    """Messages after one another, each still a message; empty ones are left out.

    >>> joined(("One.", "", "Two."))
    'One. Two.'
    """
    kept = tuple(part for part in parts if part)
    if len(kept) > 1:
        made = Message(between.join(kept))
        made.parts, made.between = kept, between
        return made
    return kept[0] if kept else ""


def listed_words(words: Iterable[str]) -> str:
    """Words of a closed list after one another, each a message that a face can say."""
    return joined((message(word) for word in words), ", ")


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
    if text.by is not None:
        return text.by(speaker)
    if text.parts:
        return spoken(text.between, speaker).join(spoken(part, speaker) for part in text.parts)
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


def unstopped(text: str) -> str:
    """A sentence to stand within another, without its full stop, in whatever language it is said."""
    return rendered(text.rstrip("."), lambda speaker: spoken(text, speaker).rstrip("."))
