"""The texts that are being read, kept while the program runs, so that a page can be loaded again.

A text itself is no part of the record; what is taken from it, the slips, are.
"""

from dataclasses import dataclass
from hashlib import sha256
from threading import Lock

from flask import current_app

from app.web.language import gettext as _
from termbase.errors import NotFound

__all__ = ["ReadText", "get", "keep"]

MOST = 60


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


class _Kept:
    def __init__(self) -> None:
        self.texts: dict[str, ReadText] = {}
        self.lock = Lock()


def keep(text: ReadText) -> str:
    """Keep a text, in place of the one that was not looked at for longest; returns its key."""
    kept = _kept()
    with kept.lock:
        kept.texts.pop(text.key, None)
        kept.texts[text.key] = text
        while len(kept.texts) > MOST:
            del kept.texts[next(iter(kept.texts))]
    return text.key


def get(key: str) -> ReadText:
    """The text of this key.

    Raises:
        NotFound: it is not kept any more, or never was.
    """
    found = _kept().texts.get(key)
    if found is None:
        raise NotFound(
            _("This text is not kept any more."),
            where=key,
            mend=_("Paste it again; the slips taken from it stay."),
        )
    return found


def _kept() -> _Kept:
    found: _Kept = current_app.extensions.setdefault("wordhold_readings", _Kept())
    return found
