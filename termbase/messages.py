"""Translatable messages.

A message is an English `str` and can be used as one anywhere. It also remembers its template and values, so
that an interface with gettext catalogues can translate it. Values may be messages themselves. Concatenating
or slicing a message returns a plain `str`, which stays English: use `joined`, or keep the parts in a tuple
and let the interface join them.
"""

from collections.abc import Callable, Iterable, Mapping
from types import MappingProxyType
from typing import Protocol

__all__ = [
    "Message",
    "Translator",
    "joined",
    "listed_words",
    "message",
    "message_by",
    "message_of_number",
    "plain_str",
    "translate",
    "without_full_stop",
]  # fmt: skip


class Translator(Protocol):
    """Translates messages: gettext and ngettext of a catalogue, with placeholders left in.

    Attributes:
        language: BCP 47 tag of that language.
    """

    @property
    def language(self) -> str:
        """BCP 47 tag of the language."""

    def one(self, text: str, /) -> str:
        """Return the translation of a text, with its `%(name)s` left in."""

    def number(self, one: str, many: str, n: int, /) -> str:
        """Return the translation for a number, with its `%(name)s` left in."""


class Message(str):
    """An English sentence that remembers its template and values.

    Attributes:
        template: the sentence with `%(name)s` placeholders; empty if this is several messages joined.
        many: the plural sentence, or empty.
        values: the values by name; `n` is the number that chooses singular or plural.
        parts: the messages that were joined, with the separator in `between`.
        by: translates it if there is no template: a date, the name of a language.
    """

    # defaults are class attributes to save time: thousands of messages are made for each one shown
    template: str = ""
    many: str = ""
    values: Mapping[str, object] = MappingProxyType({})
    parts: tuple[str, ...] = ()
    between: str = " "
    by: Callable[[Translator], str] | None = None

    def __reduce__(self) -> tuple[type[str], tuple[str]]:
        return str, (str(self),)  # a pickled copy only needs the text


def message(template: str, /, **values: object) -> Message:
    """Return a sentence with its values filled in: `message("%(word)s has no letter.", word=word)`.

    >>> message("%(word)s has no letter.", word="12")
    '12 has no letter.'
    """
    result = Message(template % values if values else template)
    result.template, result.values = template, values
    return result


def message_of_number(one: str, many: str, n: int, /, **values: object) -> Message:
    """Return the singular or plural sentence for a number; `%(n)s` is the number.

    >>> message_of_number("%(n)s entry", "%(n)s entries", 2)
    '2 entries'
    """
    filled = {"n": n, **values}
    result = Message((one if n == 1 else many) % filled)
    result.template, result.many, result.values = one, many, filled
    return result


def message_by(text: str, by: Callable[[Translator], str]) -> Message:
    """Return a message that each language builds by its own rules; `text` is the English one."""
    result = Message(text)
    result.by = by
    return result


def joined(parts: Iterable[str], between: str = " ") -> str:
    """Join messages, keeping each translatable; empty ones are left out.

    >>> joined(("One.", "", "Two."))
    'One. Two.'
    """
    kept = tuple(part for part in parts if part)
    if len(kept) > 1:
        result = Message(between.join(kept))
        result.parts, result.between = kept, between
        return result
    return kept[0] if kept else ""


def listed_words(words: Iterable[str]) -> str:
    """Join the words of a closed list, keeping each translatable."""
    return joined((message(word) for word in words), ", ")


def plain_str(value: object) -> str:
    """Return a message as a plain `str`, for encoders that only support that (`enc_hook` of msgspec).

    Raises:
        NotImplementedError: the object is not a message.
    """
    if isinstance(value, Message):
        return str(value)
    raise NotImplementedError(f"cannot be encoded: {type(value).__name__}")


def translate(text: str, speaker: Translator) -> str:
    """Translate a message into the speaker's language; return any other text unchanged."""
    if not isinstance(text, Message):
        return text
    if text.by is not None:
        return text.by(speaker)
    if text.parts:
        return translate(text.between, speaker).join(translate(part, speaker) for part in text.parts)
    if text.many:
        n = text.values["n"]
        template = speaker.number(text.template, text.many, n if isinstance(n, int) else 0)
    else:
        template = speaker.one(text.template)
    if not text.values:
        return template
    return template % {
        name: translate(value, speaker) if isinstance(value, str) else value
        for name, value in text.values.items()
    }


def without_full_stop(text: str) -> str:
    """Return a sentence for use inside another, without its full stop in any language."""
    return message_by(text.rstrip("."), lambda speaker: translate(text, speaker).rstrip("."))
