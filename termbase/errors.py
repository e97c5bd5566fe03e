"""The errors of the record: one root, leaves named for the condition.

Every error carries *what* is wrong, *where* (file, line, field) and how to *mend* it; each face shows
all three. None of them ever leaves a half-written record behind.
"""

from collections.abc import Callable
from typing import TypeVar

from termbase.messages import joined

__all__ = [
    "Ambiguous", "BadInput", "Conflict", "Damaged", "InUse", "NotFound", "Problems", "ReadOnly",
    "StorageFull", "ToldAt", "Unavailable", "WordholdError",
]  # fmt: skip

T = TypeVar("T")


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
    """Something typed, uploaded or imported that cannot be taken as it is.

    Attributes:
        path: the place in the record, where the fault is in one: names of fields, and places in their lists
            from 0: `("terms", 1, "language")`. `where` says the same in words.
        more: what else is wrong with other fields, where everything was looked at in one go.
    """

    more: "tuple[BadInput, ...]" = ()

    def __init__(
        self, what: str, *, where: str = "", mend: str = "", path: tuple[str | int, ...] = ()
    ) -> None:
        super().__init__(what, where=where, mend=mend)
        self.path = path

    @property
    def every(self) -> "tuple[BadInput, ...]":
        """This problem and the others that were found with it."""
        return (self, *self.more)

    @property
    def said(self) -> str:
        """All problems in one text, one after the other."""
        return joined((super().said, *(one.said for one in self.more)))


class ToldAt:
    """Tells what is wrong within a `with` block at another place, which the caller knows better::

        with ToldAt("equivalent_language"):
            return write_pattern(fitted(termbase, stock))

    Args:
        where: the place, or what gives it of the error.
        path: the same as a path (see `BadInput`).

    Raises:
        BadInput: something is wrong; its own path and what else was wrong belong to the first place, and go.
    """

    __slots__ = ("_path", "_where")

    def __init__(self, where: "str | Callable[[BadInput], str]", *, path: tuple[str | int, ...] = ()) -> None:
        self._where, self._path = where, path

    def __enter__(self) -> None:
        """Nothing is to be made ready."""

    def __exit__(self, kind: object, error: BaseException | None, trace: object) -> None:
        if isinstance(error, BadInput):
            where = self._where if isinstance(self._where, str) else self._where(error)
            raise BadInput(error.what, where=where, mend=error.mend, path=self._path) from error


class Problems:
    """Collects what is wrong with several fields, so that a person is told all of it at once::

        with Problems() as problems:
            kind = problems.value(SourceKind.OTHER, read_kind, text)
            label = problems.value("", read_label, other)

    At the end of the block everything found is raised as one `BadInput`; one that is raised inside the block
    is one problem more. Any other error goes through as it is.
    """

    def __init__(self) -> None:
        self._found: list[BadInput] = []

    def value(self, otherwise: T, read: Callable[..., T], *args: object, **named: object) -> T:
        """What `read` gives; where it says `BadInput`, that is collected and `otherwise` given."""
        try:
            return read(*args, **named)
        except BadInput as error:
            self._found.extend(error.every)
            return otherwise

    def add(self, error: BadInput) -> None:
        """Collect one problem."""
        self._found.extend(error.every)

    @property
    def paths(self) -> frozenset[tuple[str | int, ...]]:
        """The places in the record where something was found so far."""
        return frozenset(error.path for error in self._found)

    def check(self) -> None:
        """Raise what was found so far.

        Raises:
            BadInput: something was.
        """
        if self._found:
            raise _together(self._found)

    def __enter__(self) -> "Problems":
        return self

    def __exit__(self, kind: object, error: BaseException | None, trace: object) -> None:
        if error is not None and not isinstance(error, BadInput):
            return
        found = [*self._found, *(error.every if error else ())]
        if not found:
            return
        first = _together(found)
        if first is not error:
            raise first from None


def _together(found: list[BadInput]) -> BadInput:
    first, *others = found
    first.more = tuple(others)
    for other in others:
        other.more = ()
    return first


class Ambiguous(BadInput):
    """Something typed that can mean several things; whoever typed it is asked which.

    Attributes:
        choices: what it can mean: the value of each choice and its words, likeliest first.
    """

    def __init__(
        self,
        what: str,
        *,
        where: str = "",
        mend: str = "",
        path: tuple[str | int, ...] = (),
        choices: tuple[tuple[str, str], ...] = (),
    ) -> None:
        super().__init__(what, where=where, mend=mend, path=path)
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
