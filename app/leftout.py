"""What the command line leaves out when it shows records, as text and as JSON, and why.

These commands print to standard output and do not write a named file, so they are not in the table of outputs
(`exports.outputs`). The reasons appear only in the documentation, which is in English.
"""

from collections.abc import Mapping
from types import MappingProxyType
from typing import Final

from exports.losses import BOOKKEEPING, CARRIED, IN_BACKUP, Reasons, reason_table

__all__ = ["BY_COMMAND", "CODES", "FOUND", "LINES", "PROFILES", "SHOWN", "SOURCES", "WHOLE_ENTRY"]

_OTHER_RECORDS: Final = "Another command shows these records."
_TECHNIQUES: Final = "The file contains what techniques need, and their names."
_NAMES: Final = "It lists the entries with this name; wordhold show gives the rest."
_KINDS: Final = (
    "termbase", "person", "source", "code", "entry", "redirect", "slip", "page", "line", "trial", "image",
)  # fmt: skip


def _only(*kinds: str) -> tuple[str, ...]:
    """Return every kind of record except these."""
    return tuple(kind for kind in _KINDS if kind not in kinds)


SHOWN: Final[Reasons] = reason_table(
    (_OTHER_RECORDS, ("termbase", "person", "source", "code", "page", "image")),
    (BOOKKEEPING, ("term.id", "term.sort_text", "slip.version", "trial.id", "trial.version")),
    ("For a line that led to the entry, its text is shown.", ("line",)),
    (IN_BACKUP, ("redirect",)),
    (CARRIED, ("termbase.working_language", "termbase.notice", "source.label", "code.name", "line.id",
               "line.text", "line.entry_ids", "image.id")),
)  # fmt: skip
"""`wordhold show`, as text."""

WHOLE_ENTRY: Final[Reasons] = reason_table(
    (_OTHER_RECORDS, ("termbase", "person", "source", "page", "image", "redirect")),
    (CARRIED, ("source.id", "page.id", "image.id")),
)
"""`wordhold show --json`."""

FOUND: Final[Reasons] = reason_table(
    (_NAMES, _KINDS), (CARRIED, ("entry.id", "term.id", "term.text", "term.language"))
)
"""`wordhold find --json`."""

SOURCES: Final[Reasons] = reason_table((_OTHER_RECORDS, _only("source")))
"""`wordhold source list --json`."""

LINES: Final[Reasons] = reason_table((_OTHER_RECORDS, _only("line")), (CARRIED, ("entry.id", "page.id")))
"""`wordhold page lines --json`."""

CODES: Final[Reasons] = reason_table((_OTHER_RECORDS, _only("code")))
"""`wordhold rules export`."""

PROFILES: Final[Reasons] = reason_table(
    (_TECHNIQUES, _KINDS),
    (CARRIED, ("entry.id", "entry.technique", "term.text", "termbase.working_language")),
)
"""`wordhold profiles export`."""

BY_COMMAND: Final[Mapping[str, Reasons]] = MappingProxyType(
    {
        "show": SHOWN,
        "show --json": WHOLE_ENTRY,
        "find --json": FOUND,
        "source list --json": SOURCES,
        "page lines --json": LINES,
        "rules export": CODES,
        "profiles export": PROFILES,
    }
)
"""Each by its command, without `wordhold`."""
