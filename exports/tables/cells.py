"""What a cell says: lists of names and inflected forms as one text, closed lists by their words, tags."""

import re
from collections.abc import Iterable
from enum import StrEnum
from typing import Final, TypeVar

from termbase import tags
from termbase.entries import Form
from termbase.errors import BadInput
from termbase.messages import message

__all__ = [
    "forms_in",
    "forms_text",
    "has_commas",
    "language_in",
    "names_cell",
    "names_in_cell",
    "one_of",
    "parts_of_cell",
]

Closed = TypeVar("Closed", bound=StrEnum)

BETWEEN_NAMES: Final = " | "
BETWEEN_FORMS: Final = "; "
_COMMAS: Final = re.compile(r"[,;](?![^(\[]*[)\]])")
_ESCAPED: Final = re.compile(r"\\(.)", re.DOTALL)


def names_cell(names: Iterable[str]) -> str:
    """Names in one cell, ` | ` between them; a bar or backslash within one has a backslash before it."""
    return BETWEEN_NAMES.join(_escape(name, "|") for name in names)


def names_in_cell(text: str) -> tuple[str, ...]:
    """The names in a cell."""
    return tuple(filter(None, (part.strip() for part in _cut(text, "|"))))


def has_commas(text: str) -> bool:
    """Whether a cell has a comma or semicolon outside brackets, so that it may hold several names."""
    return len(parts_of_cell(text)) > 1


def parts_of_cell(text: str) -> tuple[str, ...]:
    """The names in a cell that parts them by commas or semicolons; those in brackets part nothing."""
    return tuple(filter(None, (part.strip() for part in _COMMAS.split(text))))


def forms_text(forms: Iterable[Form]) -> str:
    """Inflected forms in one cell: `plural: bachiadau; genitive: ...`."""
    return BETWEEN_FORMS.join(f"{_escape(form.label, ';:')}: {_escape(form.text, ';:')}" for form in forms)


def forms_in(text: str) -> tuple[Form, ...]:
    """The inflected forms in a cell.

    Raises:
        BadInput: one has no label.
    """
    return tuple(_form(part) for part in _cut_raw(text, ";") if part.strip())


def one_of(kind: type[Closed], text: str) -> Closed | None:
    """A value of a closed list by its word; None for an empty cell.

    Raises:
        BadInput: it is none of them.
    """
    word = " ".join(text.split()).lower()
    if not word:
        return None
    found = next((value for value in kind if value.value == word), None)
    if found is None:
        raise BadInput(
            message("%(text)r is not known here.", text=text),
            mend=message("Use one of: %(known)s.", known=", ".join(kind)),
        )
    return found


def language_in(text: str) -> str:
    """A language tag in canonical case; empty for an empty cell.

    Raises:
        BadInput: it is no BCP 47 tag.
    """
    return tags.canonical(text.strip()) if text.strip() else ""


def _form(part: str) -> Form:
    label, *rest = _cut(part, ":")
    if not rest or not label.strip() or not rest[0].strip():
        raise BadInput(
            message("The form %(form)r has no label.", form=part.strip()),
            mend=message("Write them as: plural: x; genitive: y"),
        )
    return Form(label.strip(), ":".join(rest).strip())


def _escape(text: str, signs: str) -> str:
    return re.sub(rf"[\\{re.escape(signs)}]", lambda found: f"\\{found[0]}", text)


def _cut(text: str, sign: str) -> list[str]:
    return [_ESCAPED.sub(r"\1", part) for part in _cut_raw(text, sign)]


def _cut_raw(text: str, sign: str) -> list[str]:
    parts, start = [], 0
    for found in re.finditer(rf"\\.|{re.escape(sign)}", text, re.DOTALL):
        if found[0] == sign:
            parts.append(text[start : found.start()])
            start = found.end()
    return [*parts, text[start:]]
