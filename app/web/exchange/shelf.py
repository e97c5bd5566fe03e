"""The files brought to one web face, newest kept."""

from collections.abc import Callable
from dataclasses import dataclass, field
from pathlib import Path
from secrets import token_urlsafe
from shutil import rmtree
from tempfile import mkdtemp
from threading import Lock
from typing import TypeVar
from weakref import finalize

from flask import current_app

from app.web.exchange.choosing import Outcome
from app.web.language import gettext as _
from exports.citations import FormatName, PlannedSource
from exports.tables import Mapping, Sheet, TablePlan
from exports.tbx import ReadReport
from termbase.errors import NotFound
from termbase.incoming import Plan, Taken

__all__ = ["Brought", "BroughtTable", "BroughtTbx", "BroughtWorks", "Shelf", "shelf"]

KEPT = 12


@dataclass
class Brought:
    """A file that was brought: where it lies, and what it was called."""

    path: Path
    name: str


@dataclass
class BroughtTbx(Brought):
    """A TBX file: what it would change, what became of it."""

    plan: Plan | None = None
    report: ReadReport | None = None
    needs_origin: bool = False
    keep_loose: bool = False
    strict: bool = False
    taken: Taken | None = None
    act_id: int | None = None


@dataclass
class BroughtTable(Brought):
    """A table: how it is read, which column is which field, what it would change, what became of it.

    Attributes:
        encoding: of a CSV file, as somebody chose it; empty to have it worked out.
        delimiter: between the cells of a CSV file; empty likewise.
        titles: of the sheets of an XLSX file; `chosen` is the one that is read.
        sheet: its rows, once they are read.
        mapping: which column is which field.
    """

    encoding: str = ""
    delimiter: str = ""
    titles: tuple[str, ...] = ()
    chosen: str = ""
    sheet: Sheet | None = None
    mapping: Mapping | None = None
    plan: TablePlan | None = None
    outcome: Outcome | None = None


@dataclass
class BroughtWorks(Brought):
    """A file of sources: its format, what it would change, what became of it."""

    format_name: FormatName | None = None
    planned: tuple[PlannedSource, ...] | None = field(default=None)
    outcome: Outcome | None = None


One = TypeVar("One", bound=Brought)


class Shelf:
    """The files brought to one web face, newest kept."""

    def __init__(self) -> None:
        self._brought: dict[str, Brought] = {}
        self._lock = Lock()
        self.folder = Path(mkdtemp(prefix="wordhold-brought-"))
        finalize(self, rmtree, self.folder, ignore_errors=True)

    def put(self, make: Callable[[Path, str], One], name: str) -> tuple[str, One]:
        """A place for a file of this name, under a token that cannot be guessed."""
        token = token_urlsafe(9)
        brought = make(self.folder / token, name)
        with self._lock:
            self._brought[token] = brought
            for old in list(self._brought)[:-KEPT]:
                self._brought.pop(old).path.unlink(missing_ok=True)
        return token, brought

    def get(self, token: str, kind: type[One]) -> One:
        """What was brought under this token.

        Raises:
            NotFound: nothing of this kind was, or it is not kept any more.
        """
        found = self._brought.get(token)
        if not isinstance(found, kind):
            raise NotFound(_("This file is not here any more."), where=token, mend=_("Bring it again."))
        return found


def shelf() -> Shelf:
    """The shelf of this web face."""
    found: Shelf = current_app.extensions["wordhold_brought"]
    return found
