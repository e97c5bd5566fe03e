"""The texts that are being read, kept for some weeks, so that a page can be loaded again.

A text itself is no part of the record; what is taken from it, the slips, are.
"""

from dataclasses import dataclass
from hashlib import sha256

from app.web import context
from app.web.workspace import workspace
from termbase.errors import NotFound
from termbase.messages import message
from termbase.store.plaindata import from_json, to_json

__all__ = ["ReadText", "get", "keep"]

KIND = "text"
LONGEST_NAME = 60


@dataclass(frozen=True)
class ReadText:
    """A text as given, and where it stands: source, date (EDTF), page, column, place."""

    text: str
    source_id: str
    date: str = ""
    page: str = ""
    column: str = ""
    place: str = ""

    @property
    def key(self) -> str:
        """By which it is kept; the same text of the same place has the same key."""
        whole = "\0".join((self.source_id, self.date, self.page, self.column, self.place, self.text))
        return sha256(whole.encode()).hexdigest()[:12]


def keep(text: ReadText) -> str:
    """Keep a text; returns its key.

    Raises:
        BadInput, Unavailable, StorageFull: there is no place for it.
    """
    name = " ".join(text.text.split())[:LONGEST_NAME]
    content = to_json(text).encode()
    workspace().keep(KIND, name, content, by=context.current_person(), file_id=text.key)
    return text.key


def get(key: str) -> ReadText:
    """The text of this key; it is kept for its whole time from now on.

    Raises:
        NotFound: it is not kept any more, or never was.
    """
    space = workspace()
    if space.rows.file(key) is None:
        raise NotFound(
            message("This text is no longer kept."),
            where=key,
            fix=message("Paste it again; the slips taken from it are kept."),
        )
    row = space.find(key, KIND)
    found = from_json(ReadText, space.content(row).read_bytes())
    space.renew(row)
    return found
