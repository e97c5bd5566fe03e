"""The errors of the record: one root, leaves named for the condition.

Every error carries *what* is wrong, *where* (file, line, field) and how to *mend* it; each face shows
all three. None of them ever leaves a half-written record behind.
"""

from termbase.messages import joined

__all__ = [
    "Ambiguous", "BadInput", "Conflict", "Damaged", "InUse", "NotFound", "ReadOnly", "StorageFull",
    "Unavailable", "WordholdError",
]  # fmt: skip


class WordholdError(Exception):
    """Root of everything that can go wrong with the record.

    Attributes:
        what: what is wrong, one sentence.
        where: the place: a file and line, a field, an id; empty where there is none.
        mend: what to do about it, one sentence.
    """

    def __init__(self, what: str, *, where: str = "", mend: str = "") -> None:
        super().__init__(what, where, mend)
        self.what = what
        self.where = where
        self.mend = mend

    def __str__(self) -> str:
        return str(self.said)

    @property
    def said(self) -> str:
        """Place, what is wrong and how to mend it in one text, which a face can say in its language."""
        place = joined((self.where, self.what), ": ")
        return joined((place, self.mend))


class BadInput(WordholdError, ValueError):
    """Something typed, uploaded or imported that cannot be taken as it is."""


class Ambiguous(BadInput):
    """Something typed that can mean several things; whoever typed it is asked which.

    Attributes:
        choices: what it can mean: the value of each choice and its words, likeliest first.
    """

    def __init__(
        self, what: str, *, where: str = "", mend: str = "", choices: tuple[tuple[str, str], ...] = ()
    ) -> None:
        super().__init__(what, where=where, mend=mend)
        self.choices = choices


class NotFound(WordholdError, LookupError):
    """An id or label that the termbase does not have."""


class InUse(WordholdError):
    """Something cannot be removed because the record still points at it."""


class Conflict(WordholdError):
    """Somebody else changed the same thing meanwhile; nothing was overwritten."""


class Unavailable(WordholdError):
    """The database cannot be used now: it is gone, replaced, busy, or its server does not answer."""


class Damaged(WordholdError):
    """The database is there, but something in it is broken or missing."""


class StorageFull(WordholdError):
    """There is no room left on the disk; nothing was changed."""


class ReadOnly(WordholdError):
    """The database can be read but not written."""
