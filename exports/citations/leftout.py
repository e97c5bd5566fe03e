"""What lists of sources leave out, by format, and why."""

from collections.abc import Mapping
from typing import Final

from exports.citations.formats import FormatName
from exports.losses import BOOKKEEPING, Reasons, reason_table
from termbase.messages import message

__all__ = ["LEFT_OUT"]

_OTHERS: Final = (
    message("The file contains only the sources."),
    ("termbase", "person", "entry", "slip", "trial", "code", "page", "line", "image", "redirect"),
)
_KEY: Final = (message("The format has its own key, made from the label."), ("source.id",))
_PATTERN: Final = (message("It is used only to read the source's pages here."), ("source.pattern",))
_VERSION: Final = (BOOKKEEPING, ("source.version",))

LEFT_OUT: Final[Mapping[FormatName, Reasons]] = {
    "csl-json": reason_table(_OTHERS, _VERSION),
    "bibtex": reason_table(_OTHERS, _VERSION, _KEY, _PATTERN),
    "ris": reason_table(_OTHERS, _VERSION, _KEY, _PATTERN),
}
"""By format."""
