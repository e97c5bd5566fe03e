"""Sentences of the tool that a face may say in the reader's language.

A message is an English `str` and can be used as one anywhere. It also remembers the sentence it was made
from and the values filled in, so that a face with gettext catalogues can say it in another language. Values
may be messages themselves. Joining or cutting a message gives a plain `str`, which stays English: use
`joined`, or keep the parts in a tuple and let the face join them.
"""

import re
from collections.abc import Callable, Iterable, Mapping
from functools import cache
from types import MappingProxyType
from typing import Protocol

__all__ = [
    "Message", "Speaker", "again", "as_typed", "joined", "listed_words", "message", "message_of_number",
    "own_words", "plain", "rendered", "spoken",
]  # fmt: skip

_PLACE = re.compile(r"%\((\w+)\)s")


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
    """A sentence with its values filled in: `message("%(word)s has no letter.", word=word)`."""
    made = Message(template % values if values else template)
    made.template, made.values = template, values
    return made


def message_of_number(one: str, many: str, n: int, /, **values: object) -> Message:
    """The sentence that goes with a number; `%(n)s` in it is the number."""
    filled = {"n": n, **values}
    made = Message((one if n == 1 else many) % filled)
    made.template, made.many, made.values = one, many, filled
    return made


def rendered(text: str, by: Callable[[Speaker], str]) -> Message:
    """A text that each language makes by rules of its own; `text` is what it is in English."""
    made = Message(text)
    made.by = by
    return made


def own_words(text: str) -> str:
    """What a person typed as a reason, as it is kept beside reasons of ours: in quotation marks “…”.

    So it is told from our sentences for ever, whatever it says. `as_typed` gives it back.
    """
    return f"“{text}”" if text else ""


def as_typed(kept: str) -> str | None:
    """The words of a person, from a reason that was kept; None where it is one of ours, or of an earlier
    version, which kept both alike."""
    return kept[1:-1] if len(kept) > 1 and kept[0] == "“" and kept[-1] == "”" else None


def again(text: str, templates: tuple[str, ...], inner: Mapping[str, tuple[str, ...]] | None = None) -> str:
    """A message again that was kept as its English text, where one of these templates made it.

    A text that none of them made stays as it is.

    Args:
        text: what was kept.
        templates: the first that fits is taken.
        inner: templates of the messages that were filled in, by the name of the place they fill.
    """
    if isinstance(text, Message):
        return text
    within = inner or {}
    for template, pattern in _patterns(templates):
        found = pattern.fullmatch(text)
        if found:
            values = {
                name: again(value, within[name], within) if name in within else value
                for name, value in found.groupdict().items()
            }
            return message(template, **values)
    return text


@cache
def _patterns(templates: tuple[str, ...]) -> tuple[tuple[str, re.Pattern[str]], ...]:
    """The templates in their order, each with what its texts look like."""
    return tuple((template, re.compile(_shape(template), re.DOTALL)) for template in templates)


def _shape(template: str) -> str:
    """A regular expression of the texts that a template makes."""
    pieces = _PLACE.split(template)  # texts and names by turns
    return "".join(
        f"(?P<{piece}>.*)" if n % 2 else re.escape(piece.replace("%%", "%")) for n, piece in enumerate(pieces)
    )


def joined(parts: Iterable[str], between: str = " ") -> str:
    """Messages after one another, each still a message; empty ones are left out."""
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
