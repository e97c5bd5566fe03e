"""The uploaded files, with what is known about each, for every process that serves the termbase.

What a file would change is stored as a separate file (`preview`): it can be long, and a page shows only a
part.
"""

from collections.abc import Callable
from dataclasses import dataclass, field, replace
from functools import cached_property
from pathlib import Path
from typing import TypeVar

from sqlalchemy import Connection
from werkzeug.datastructures import FileStorage

from app.web.importing.choosing import Outcome, Seen
from app.web.jobs import speakers
from app.web.language import gettext as _
from app.web.workspace import Workspace, workspace
from exports.citations.formats import FormatName
from exports.tables.mapping import Mapping
from exports.tbx.reports import ReadReport
from termbase.errors import NotFound
from termbase.importing.planning import Plan
from termbase.importing.taking import Imported
from termbase.store.plaindata import from_json, to_json
from termbase.store.workrows import PATIENCE, FileRow

__all__ = [
    "AboutTable",
    "AboutTbx",
    "AboutWorks",
    "Preview",
    "SeenSlip",
    "TbxPreview",
    "Upload",
    "Uploads",
    "uploads",
]  # fmt: skip

KIND = "brought"


@dataclass(frozen=True)
class SeenSlip:
    """A slip that a row would create: its source's label, the name it bears witness to (empty: unsorted), its
    text and date."""

    source: str
    name: str
    text: str
    date: str


@dataclass(frozen=True)
class Preview:
    """What a table or a list of sources would change.

    Attributes:
        seen: every entry or source of it.
        columns: each heading of a table with the key of its field.
        slips: how many slips a table would create.
        new_sources: labels of the sources that it would create.
        slips_of: the slips shown, by key of their entry.
        unread: fields of a list of sources that are not recognized, and how often, most frequent first.
    """

    seen: tuple[Seen, ...]
    columns: tuple[tuple[str, str], ...] = ()
    slips: int = 0
    new_sources: tuple[str, ...] = ()
    slips_of: dict[str, tuple[SeenSlip, ...]] = field(default_factory=dict)
    unread: tuple[tuple[str, int], ...] = ()


@dataclass(frozen=True)
class TbxPreview:
    """The contents of a TBX file, and what it would change."""

    plan: Plan
    report: ReadReport


@dataclass(frozen=True)
class AboutTbx:
    """What is known about a TBX file: how to read it, what it would change, the outcome.

    Attributes:
        preview: id of the stored `TbxPreview`; empty before it was checked.
        report: what was read, once it is imported.
    """

    keep_loose: bool = False
    strict: bool = False
    needs_origin: bool = False
    preview: str = ""
    taken: Imported | None = None
    report: ReadReport | None = None
    act_id: int | None = None


@dataclass(frozen=True)
class AboutTable:
    """What is known about a table: how to read it, which column is which field, the outcome.

    Attributes:
        workbook: it is an XLSX file.
        encoding: chosen encoding of a CSV file; empty to detect it.
        delimiter: chosen cell separator of a CSV file; empty to detect it.
        titles: titles of the sheets of an XLSX file; `chosen` is the one to read.
        mapping: which column is which field; None before it was read.
        preview: id of the stored `Preview`; empty before it was checked.
    """

    workbook: bool = False
    encoding: str = ""
    delimiter: str = ""
    titles: tuple[str, ...] = ()
    chosen: str = ""
    mapping: Mapping | None = None
    preview: str = ""
    outcome: Outcome | None = None


@dataclass(frozen=True)
class AboutWorks:
    """What is known about a file of sources: its format, what it would change, the outcome."""

    format_name: FormatName | None = None
    preview: str = ""
    outcome: Outcome | None = None


About = TypeVar("About", AboutTbx, AboutTable, AboutWorks)
AnyPreview = TypeVar("AnyPreview", Preview, TbxPreview)


class Upload:
    """An uploaded file, in the state it had when it was looked up."""

    def __init__(self, space: Workspace, row: FileRow) -> None:
        self._space = space
        self._row = row

    @property
    def token(self) -> str:
        """The token in its addresses."""
        return self._row.id

    @property
    def name(self) -> str:
        """Its original file name."""
        return self._row.name

    @cached_property
    def path(self) -> Path:
        """Its path.

        Raises:
            NotFound: it is missing from the files folder, or damaged.
        """
        return self._space.content(self._row)


class Uploads:
    """The uploaded files."""

    def __init__(self, space: Workspace) -> None:
        self._space = space

    def put(self, sent: FileStorage, name: str, about: object, by: str) -> Upload:
        """Store a file under a token that cannot be guessed.

        Raises:
            BadInput, Unavailable, StorageFull: it cannot be stored.
        """
        kept = to_json(_Kept(type(about).__name__, to_json(about, speakers())))
        return Upload(self._space, self._space.keep(KIND, name, sent.stream, about=kept, by=by))

    def get(self, token: str, kind: type[About]) -> tuple[Upload, About]:
        """Return the upload with this token, and what is known about it.

        Raises:
            NotFound: there is none of this kind, or it is no longer stored.
            BadInput: another version of the program stored it.
        """
        row = self._space.find(token, KIND)
        kept = from_json(_Kept, row.about)
        if kept.kind != kind.__name__:
            raise NotFound(_("This file is no longer available."), where=token, fix=_("Upload it again."))
        return Upload(self._space, row), from_json(kind, kept.about)

    def change(
        self,
        upload: Upload,
        kind: type[About],
        changed: Callable[[About], About],
        connection: Connection | None = None,
        *,
        patience: float = 0.0,
    ) -> None:
        """Update what is known about a file.

        Args:
            upload: the file.
            kind: the class that describes it.
            changed: returns the new state, given the current one.
            connection: of an act, so that it is updated if and only if the act is done.
            patience: seconds to wait while others write; background work can wait.
        """
        row = self._space.find(upload.token, KIND)
        about = changed(from_json(kind, from_json(_Kept, row.about).about))
        kept = to_json(_Kept(kind.__name__, to_json(about, speakers())))
        self._space.put(replace(row, about=kept), connection, patience=patience)

    def keep_preview(self, upload: Upload, preview: object, before: str) -> str:
        """Store what a file would change, replacing what was stored before; return its id."""
        row = self._space.keep(
            "preview", upload.name, to_json(preview, speakers()).encode(), patience=PATIENCE
        )
        if before and (old := self._space.rows.file(before)) is not None:
            self._space.drop(old)
        return row.id

    def preview(self, file_id: str, kind: type[AnyPreview]) -> AnyPreview:
        """Return what a file would change.

        Raises:
            NotFound: it was not checked, or the preview is no longer stored.
            BadInput: another version of the program stored it.
        """
        row = self._space.find(file_id, "preview")
        return from_json(kind, self._space.content(row).read_bytes())

    def drop(self, upload: Upload) -> None:
        """Remove a file that nobody will import."""
        if (row := self._space.rows.file(upload.token)) is not None:
            self._space.drop(row)


@dataclass(frozen=True)
class _Kept:
    """What is known about a file, as JSON, with the name of its class."""

    kind: str
    about: str


def uploads() -> Uploads:
    """Return the uploads of this web app; pass them to work that continues outside the request."""
    return Uploads(workspace())
