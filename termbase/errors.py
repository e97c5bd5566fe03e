"""The error classes: one root, with subclasses named after the condition.

Every error carries *what* is wrong, *where* (file, line, field) and how to fix it (*fix*); every interface
shows all three. No error ever leaves a half-written record behind.
"""

from collections.abc import Callable
from typing import TypeVar

from termbase.messages import joined

__all__ = [
    "Ambiguous",
    "BadInput",
    "Conflict",
    "Damaged",
    "InUse",
    "NotFound",
    "Problems",
    "ReadOnly",
    "ReportedAt",
    "StorageFull",
    "Unavailable",
    "WordholdError",
]  # fmt: skip

T = TypeVar("T")


class WordholdError(Exception):
    """Root of everything that can go wrong with the record.

    Attributes:
        what: what is wrong, one sentence.
        where: the place: a file and line, a field, an id; may be empty.
        fix: what to do about it, one sentence.
    """

    def __init__(self, what: str, *, where: str = "", fix: str = "") -> None:
        super().__init__(what, where, fix)
        self.what = what
        self.where = where
        self.fix = fix

    def __str__(self) -> str:
        return str(self.said)

    @property
    def said(self) -> str:
        """Place, fault and fix in one text, which an interface can translate."""
        place = joined((self.where, self.what), ": ")
        return joined((place, self.fix))


class BadInput(WordholdError, ValueError):
    """Something typed, uploaded or imported is invalid.

    Attributes:
        path: the place in the record, if any: field names, and list positions from 0: `("terms", 1,
            "language")`. `where` says the same in words.
        more: faults in other fields, if everything was checked at once.
    """

    more: "tuple[BadInput, ...]" = ()

    def __init__(
        self, what: str, *, where: str = "", fix: str = "", path: tuple[str | int, ...] = ()
    ) -> None:
        super().__init__(what, where=where, fix=fix)
        self.path = path

    @property
    def every(self) -> "tuple[BadInput, ...]":
        """This problem and the others found with it."""
        return (self, *self.more)

    @property
    def said(self) -> str:
        """All problems in one text, one after another."""
        return joined((super().said, *(item.said for item in self.more)))


class ReportedAt:
    """Reports errors raised inside a `with` block at a more exact place, known to the caller::

        with ReportedAt("equivalent_language"):
            return write_pattern(fitted(termbase, stock))

    Args:
        where: the place, or a function that returns it from the error.
        path: the place as a path (see `BadInput`).

    Raises:
        BadInput: something is wrong; the original path and further faults are dropped.
    """

    __slots__ = ("_path", "_where")

    def __init__(self, where: "str | Callable[[BadInput], str]", *, path: tuple[str | int, ...] = ()) -> None:
        self._where, self._path = where, path

    def __enter__(self) -> None:
        """Nothing to prepare."""

    def __exit__(self, kind: object, error: BaseException | None, trace: object) -> None:
        if isinstance(error, BadInput):
            where = self._where if isinstance(self._where, str) else self._where(error)
            raise BadInput(error.what, where=where, fix=error.fix, path=self._path) from error


class Problems:
    """Collects faults in several fields, so that a person sees all of them at once::

        with Problems() as problems:
            kind = problems.value(SourceKind.OTHER, read_kind, text)
            label = problems.value("", read_label, other)

    At the end of the block all faults are raised as one `BadInput`; a `BadInput` raised inside the block is
    added to them. Any other error propagates unchanged.
    """

    def __init__(self) -> None:
        self._found: list[BadInput] = []

    def value(self, otherwise: T, read: Callable[..., T], *args: object, **named: object) -> T:
        """Return the result of `read`; if it raises `BadInput`, collect that and return `otherwise`."""
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
        """The paths of the problems collected so far."""
        return frozenset(error.path for error in self._found)

    def check(self) -> None:
        """Raise the problems collected so far.

        Raises:
            BadInput: there are problems.
        """
        if self._found:
            raise _together(self._found)

    def __enter__(self) -> "Problems":
        return self

    def __exit__(self, kind: object, error: BaseException | None, trace: object) -> None:
        if error is not None and not isinstance(error, BadInput):
            return
        result = [*self._found, *(error.every if error else ())]
        if not result:
            return
        first = _together(result)
        if first is not error:
            raise first from None


def _together(problems: list[BadInput]) -> BadInput:
    first, *others = problems
    first.more = tuple(others)
    for other in others:
        other.more = ()
    return first


class Ambiguous(BadInput):
    """Something typed can mean several things; the user is asked which.

    Attributes:
        choices: the possible meanings: value and words of each choice, most likely first.
    """

    def __init__(
        self,
        what: str,
        *,
        where: str = "",
        fix: str = "",
        path: tuple[str | int, ...] = (),
        choices: tuple[tuple[str, str], ...] = (),
    ) -> None:
        super().__init__(what, where=where, fix=fix, path=path)
        self.choices = choices


class NotFound(WordholdError, LookupError):
    """The termbase does not have this id or label."""


class InUse(WordholdError):
    """Something cannot be deleted because another record still refers to it."""


class Conflict(WordholdError):
    """Someone else has changed the same thing in the meantime; nothing was overwritten."""


class Unavailable(WordholdError):
    """The database cannot be used now: it is gone, replaced, busy, or its server does not answer."""


class Damaged(WordholdError):
    """The database is there, but something in it is broken or missing."""


class StorageFull(WordholdError):
    """The disk is full; nothing was changed."""


class ReadOnly(WordholdError):
    """The database can be read but not written."""
