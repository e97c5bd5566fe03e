"""What the command line leaves out where it shows records, as text and as JSON, and why.

The reasons stand in the documentation only, which is in English.
"""

from typing import Final

from exports.losses import BOOKKEEPING, IN_BACKUP, Because, because

__all__ = ["CODES", "FOUND", "LINES", "PROFILES", "SHOWN", "SOURCES", "WHOLE_ENTRY"]

_OTHER_RECORDS: Final = "It shows other records; another command shows these."
_MERGED: Final = (IN_BACKUP, ("redirect",))

SHOWN: Final[Because] = because(
    (_OTHER_RECORDS, ("termbase.title", "termbase.licence", "termbase.rights", "termbase.vernaculars",
                      "termbase.version", "person", "source.id", "source.issued", "source.kind",
                      "source.title", "source.author", "source.editor", "source.container",
                      "source.publisher", "source.place", "source.pages", "source.archive",
                      "source.shelfmark", "source.url", "source.language", "source.styles",
                      "source.rights", "source.note", "source.pattern", "source.version", "code.id",
                      "code.place", "code.period",
                      "code.note", "code.clauses", "code.sources", "code.version", "page", "image.data",
                      "image.media_type", "image.width", "image.height")),
    (BOOKKEEPING, ("term.id", "term.sort_text", "slip.version", "trial.id", "trial.version")),
    ("Of a line that led to the entry its text is shown.",
     ("line.position", "line.first", "line.parsed", "line.corrected", "line.state", "line.reason",
      "line.version", "line.page_id")),
    _MERGED,
)  # fmt: skip
"""`wordhold show`, as text."""

WHOLE_ENTRY: Final[Because] = because(
    (_OTHER_RECORDS, ("termbase", "person", "source.label", "source.issued", "source.kind", "source.title",
                      "source.author", "source.editor", "source.container", "source.publisher",
                      "source.place", "source.pages", "source.archive", "source.shelfmark", "source.url",
                      "source.language", "source.styles", "source.rights", "source.note", "source.pattern",
                      "source.version", "page.number", "page.transcription", "page.version",
                      "page.source_id", "page.image_id", "image.data", "redirect")),
)  # fmt: skip
"""`wordhold show --json`."""

FOUND: Final[Because] = because(
    ("It tells which entries are called so; wordhold show tells the rest.",
     ("termbase", "term.printed", "term.printed_language", "form", "term.pronunciation", "term.region",
      "term.usage_note", "term.sort_text", "note", "definition", "technique", "analogue", "figure", "ruling",
      "entry.usage_note", "entry.editor_note", "reading", "entry.created_by", "entry.created_on",
      "entry.changed_by", "entry.changed_on", "entry.version")),
    (_OTHER_RECORDS, ("person", "source", "code", "redirect", "slip", "page", "line", "trial", "image")),
)  # fmt: skip
"""`wordhold find --json`."""

SOURCES: Final[Because] = because(
    (_OTHER_RECORDS, ("termbase", "entry", "person", "code", "redirect", "slip", "page", "line", "trial",
                      "image")),
)  # fmt: skip
"""`wordhold source list --json`."""

LINES: Final[Because] = because(
    (_OTHER_RECORDS, ("termbase", "term", "definition", "technique", "relation", "analogue", "figure",
                      "ruling",
                      "note", "reading", "entry.topic", "entry.usage_note", "entry.editor_note",
                      "entry.created_by", "entry.created_on", "entry.changed_by", "entry.changed_on",
                      "entry.version", "person", "source", "code", "redirect", "slip", "page.source_id",
                      "page.number", "page.transcription", "page.image_id", "page.version", "trial",
                      "image")),
)  # fmt: skip
"""`wordhold page lines --json`."""

CODES: Final[Because] = because(
    (_OTHER_RECORDS, ("termbase", "entry", "person", "source", "redirect", "slip", "page", "line", "trial",
                      "image")),
)  # fmt: skip
"""`wordhold rules export`."""

PROFILES: Final[Because] = because(
    ("The file holds what techniques need, and their names.",
     ("termbase.title", "termbase.vernaculars", "termbase.licence", "termbase.rights", "termbase.notice",
      "termbase.version", "term.id", "term.printed", "form", "term.pronunciation", "term.region",
      "term.usage_note",
      "term.sort_text", "term.language", "term.origin", "term.printed_language", "term.part_of_speech",
      "term.gender", "term.number", "term.register", "term.type", "term.status", "note", "definition",
      "relation", "analogue", "figure", "ruling", "entry.topic", "entry.usage_note", "entry.editor_note",
      "reading", "entry.created_by", "entry.created_on", "entry.changed_by", "entry.changed_on",
      "entry.version", "person", "source", "code", "redirect", "slip", "page", "line", "trial", "image")),
)  # fmt: skip
"""`wordhold profiles export`."""
