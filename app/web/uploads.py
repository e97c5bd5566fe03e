"""Files chosen in a form stay chosen when the form is rejected, even without a script.

A form that is shown again keeps the uploads (`app.web.workspace`, kind `upload`) and lists each file as a
ticked box (`kept-<field>`) beside the field. When the form is sent again, `files` returns these together with
newly chosen files; an unticked one is left out. A kept file is removed after a day; the form then
says so.
"""

from dataclasses import dataclass
from io import BytesIO
from pathlib import Path

from flask import request
from werkzeug.datastructures import FileStorage

from app.web import context
from app.web.workspace import workspace
from termbase.errors import BadInput, NotFound, WordholdError
from termbase.store.workrows import FileRow

__all__ = ["KEPT", "KeptFile", "file", "files", "kept_files"]

KEPT = "kept-"
"""Prefix of the names of the boxes for the files kept for a field."""
KIND = "upload"
LONGEST_NAME = 200


@dataclass(frozen=True)
class KeptFile:
    """A file kept until its form is accepted.

    Attributes:
        problem: why it could not be kept, so that it must be chosen again; otherwise None.
    """

    token: str
    name: str
    size: int
    problem: WordholdError | None = None


def files(field: str) -> list[FileStorage]:
    """Return the files of a field: those kept and still ticked, then those chosen now.

    Raises:
        BadInput: a ticked file was removed; `where` is the field.
    """
    kept = [_opened(row) for row in _ticked(field)]
    return [*kept, *(upload for upload in request.files.getlist(field) if upload.filename)]


def file(field: str) -> FileStorage | None:
    """Return the file of a single-file field: the one chosen now, else the one kept, or None.

    Raises:
        BadInput: none is chosen now, and the ticked one was removed; `where` is the field.
    """
    chosen = [upload for upload in request.files.getlist(field) if upload.filename]
    uploads = chosen or files(field)
    return uploads[-1] if uploads else None


def kept_files(field: str, *, several: bool = False) -> tuple[KeptFile, ...]:
    """Keep the files that this request sent in a field, so that the form can be shown again with them."""
    if request.method != "POST":
        return ()
    kept = [KeptFile(row.id, row.name, row.size) for row in _ticked(field, missing=False)]
    kept += [_keep(upload, field) for upload in request.files.getlist(field) if upload.filename]
    return tuple(kept if several else kept[-1:])


def _keep(sent: FileStorage, field: str) -> KeptFile:
    name = Path(sent.filename or "").name[:LONGEST_NAME]
    sent.stream.seek(0)  # the view has read it
    try:
        row = workspace().keep(KIND, name, sent.stream, about=field, by=context.current_person())
    except WordholdError as error:  # the form is shown anyway, with what was typed into it
        return KeptFile("", name, 0, error)
    return KeptFile(row.id, name, row.size)


def _ticked(field: str, *, missing: bool = True) -> list[FileRow]:
    """Return the rows of the files ticked for a field; with `missing`, a removed one is an error.

    Raises:
        BadInput: one no longer exists.
    """
    rows: list[FileRow] = []
    for token in request.form.getlist(KEPT + field):
        try:
            row = workspace().find(token, KIND)
            workspace().content(row)
        except NotFound as error:
            if missing:
                raise BadInput(error.what, where=field, fix=error.fix) from error
            continue
        if row.about == field:
            rows.append(row)
    return rows


def _opened(row: FileRow) -> FileStorage:
    content = workspace().files.path(row.id).read_bytes()
    return FileStorage(BytesIO(content), filename=row.name, name=row.about)
