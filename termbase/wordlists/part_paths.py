"""Where a part of a parsed line is: a path of fields and places, and the path in words.

`("senses", 0, "equivalents", 1, "gender")` is the gender of the second equivalent of the first sense. Fields
are those of `termbase.record.lines.ParsedLine`; places count from 0, in words from 1.
"""

from typing import Final

from termbase.fields.declarations import Path
from termbase.messages import message

__all__ = [
    "HEADWORD", "PARTS_OF_PARTS", "STYLE", "equivalent_path", "field_of", "is_name", "path_said",
]  # fmt: skip

HEADWORD: Final[Path] = ("headword",)
STYLE: Final[Path] = ("style",)

PARTS_OF_PARTS: Final = (
    "sense %(number)s",
    "sense %(number)s %(part)s",
    "sense %(number)s equivalent %(place)s",
    "sense %(number)s equivalent %(place)s %(part)s",
    "sense %(number)s phrase %(phrase)s",
    "sense %(number)s phrase %(phrase)s %(part)s",
    "sense %(number)s phrase %(phrase)s equivalent %(place)s",
    "sense %(number)s phrase %(phrase)s equivalent %(place)s %(part)s",
)
"""What a part within a sense is called; translators can order it as their language does."""

_LISTS: Final = {
    "senses": ("sense", "number"),
    "equivalents": ("equivalent", "place"),
    "phrases": ("phrase", "phrase"),
}
_WORDS: Final = {
    "variants": "other spellings",
    "forms": "inflected forms",
    "gloss": "explanation",
    "see": "cross-reference",
}
"""Fields that are called otherwise in words."""


def equivalent_path(sense: int, place: int) -> Path:
    """The path of an equivalent of a sense, both counted from 0."""
    return ("senses", sense, "equivalents", place)


def field_of(slot: str) -> str:
    """The field of a slot of grammar: `part of speech` is `part_of_speech`."""
    return slot.replace(" ", "_")


def is_name(path: Path) -> bool:
    """Whether it is the headword or an equivalent of a sense, which become names of an entry."""
    return path == HEADWORD or (len(path) == 4 and path[0] == "senses" and path[2] == "equivalents")


def path_said(path: Path) -> str:
    """A part in words, a message: `sense 1 equivalent 2 gender`; a path of a newer version as it is."""
    template, values, rest = [], dict[str, object](), list(path)
    while len(rest) > 1 and isinstance(rest[1], int) and rest[0] in _LISTS:
        word, name = _LISTS[str(rest[0])]
        template.append(f"{word} %({name})s")
        values[name] = rest[1] + 1
        del rest[:2]
    if len(rest) == 1 and isinstance(rest[0], str):
        words = message(_WORDS.get(rest[0], rest[0].replace("_", " ")))
        if not template:
            return words
        template.append("%(part)s")
        values["part"] = words
    told = " ".join(template)
    if told not in PARTS_OF_PARTS or len(rest) > 1:
        return " ".join(str(step) for step in path)
    return message(told, **values)
