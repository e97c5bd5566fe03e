"""Files that were chosen in a form stay chosen while the form is refused, without a script too.

A form that is shown again keeps what was sent in a folder that every process of this machine shares, and
names each file in a ticked box (`kept-<field>`) beside the field. When the form is sent again, `files` gives
these together with what is chosen then; an unticked one is left out. After a day a kept file is removed.
"""

import re
from dataclasses import dataclass
from hashlib import sha256
from io import BytesIO
from os import getuid
from pathlib import Path
from secrets import token_urlsafe
from tempfile import gettempdir
from time import time

from flask import current_app, request
from werkzeug.datastructures import FileStorage

from app.web import context

__all__ = ["KEPT", "KeptFile", "file", "files", "kept_files"]

KEPT = "kept-"
"""Begins the name of the boxes that name the files kept for a field."""
DAY = 24 * 3600
LONGEST_NAME = 200
_TOKEN = re.compile(r"[\w-]{20,40}", re.ASCII)


@dataclass(frozen=True)
class KeptFile:
    """A file that waits until its form is through: the mark it is found by, and what it is called."""

    token: str
    name: str
    size: int


def files(field: str) -> list[FileStorage]:
    """The files of a field: those kept and still ticked, then those chosen now."""
    kept = [one for token in request.form.getlist(KEPT + field) if (one := _opened(token, field))]
    return [*kept, *(one for one in request.files.getlist(field) if one.filename)]


def file(field: str) -> FileStorage | None:
    """The file of a field that takes one: the one chosen now, else the one kept; None where there is none."""
    found = files(field)
    return found[-1] if found else None


def kept_files(field: str, *, several: bool = False) -> tuple[KeptFile, ...]:
    """Keep what this request sent in a field, for the form that is shown again; with those kept before."""
    if request.method != "POST":
        return ()
    old = [(token, one) for token in request.form.getlist(KEPT + field) if (one := _opened(token, field))]
    kept = [KeptFile(token, one.filename or "", _size(one)) for token, one in old]
    kept += [_keep(one) for one in request.files.getlist(field) if one.filename]
    return tuple(kept if several else kept[-1:])


def _keep(sent: FileStorage) -> KeptFile:
    folder = _folder()
    _forget_old(folder)
    token, name = token_urlsafe(18), Path(sent.filename or "").name[:LONGEST_NAME]
    sent.stream.seek(0)  # the view has read it
    content = sent.stream.read()
    (folder / token).write_bytes(content)
    (folder / f"{token}.name").write_text(name, encoding="utf-8")
    return KeptFile(token, name, len(content))


def _opened(token: str, field: str) -> FileStorage | None:
    """A kept file; None where it is not there any more."""
    if not _TOKEN.fullmatch(token):
        return None
    path = _folder() / token
    try:
        name = path.with_name(f"{token}.name").read_text(encoding="utf-8")
        return FileStorage(BytesIO(path.read_bytes()), filename=name, name=field)
    except OSError:
        return None


def _size(opened: FileStorage) -> int:
    return opened.stream.seek(0, 2)


def _folder() -> Path:
    """The folder for this termbase and this user of the machine; nobody else may look into it."""
    place = sha256(str(context.store().engine.url).encode()).hexdigest()[:16]
    folder = (
        Path(current_app.config.get("UPLOAD_FOLDER") or gettempdir()) / f"wordhold-kept-{getuid()}-{place}"
    )
    folder.mkdir(mode=0o700, exist_ok=True)
    if folder.stat().st_uid != getuid():
        raise PermissionError(f"{folder} belongs to somebody else")
    return folder


def _forget_old(folder: Path) -> None:
    oldest = time() - DAY
    for path in folder.iterdir():
        if path.stat().st_mtime < oldest:
            path.unlink(missing_ok=True)
