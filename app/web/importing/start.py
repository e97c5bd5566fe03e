"""The upload form: the type of a file is detected from its extension, or chosen."""

from pathlib import Path
from typing import Final

from flask import render_template, request
from werkzeug.datastructures import FileStorage
from werkzeug.wrappers import Response

from app.web import context
from app.web.forms import Form, error_text
from app.web.importing import citations, tables, tbx
from app.web.importing.choosing import blueprint
from app.web.importing.tables import ENCODING_NAMES
from app.web.importing.uploads import AboutTable, AboutTbx, AboutWorks, uploads
from app.web.language import gettext as _
from app.web.uploads import file as posted_file
from exports.citations.formats import FORMATS
from exports.tables.detecting import ENCODINGS
from termbase.errors import BadInput, WordholdError
from termbase.rules.files import BadRows

__all__ = ["Answer"]

Answer = Response | tuple[str, int]
ENDINGS: Final = {
    ".tbx": "tbx", ".xml": "tbx", ".csv": "csv", ".tsv": "csv", ".txt": "csv", ".xlsx": "xlsx",
    **{suffix: name for name, known in FORMATS.items() for suffix in known.suffixes},
}  # fmt: skip
"""File type by extension."""
KINDS: Final = ("tbx", "csv", "xlsx", *FORMATS)


@blueprint.get("")
def index() -> str:
    """Show the form to upload a file."""
    return _index(Form.of(file="", kind=request.args.get("kind", ""), encoding="", keep_loose="", strict=""))


@blueprint.post("")
def upload_file() -> Answer:
    """Store the file and check it; a job leads to the preview."""
    form = Form.posted().with_text("file", "")
    try:
        sent = posted_file("file")
        if sent is None or not sent.filename:
            raise BadInput(_("No file was chosen."), where="file", fix=_("Choose one."))
        kind = _kind(form, sent.filename)
    except BadInput as error:
        return _index(form.refused(error)), 400
    try:
        return _check(kind, sent, form)
    except WordholdError as error:
        return _index(form.refused(_beside_file(error))), 400


def _beside_file(error: WordholdError) -> BadInput:
    if isinstance(error, BadRows):
        return BadRows(error.rows, where="file")
    return BadInput(error_text(error), where="file", fix=error.fix)


def _check(kind: str, sent: FileStorage, form: Form) -> Answer:
    """Store a file and check it; a file that cannot be imported is not kept."""
    name, files = Path(sent.filename or "").name, uploads()
    about: AboutTbx | AboutWorks | AboutTable
    if kind == "tbx":
        about = AboutTbx(keep_loose=bool(form.text("keep_loose")), strict=bool(form.text("strict")))
    elif kind in FORMATS:
        about = AboutWorks(format_name=kind)
    else:
        asked = form.line("encoding")
        about = AboutTable(workbook=kind == "xlsx", encoding=asked if asked in ENCODINGS else "")
    upload = files.put(sent, name, about, context.current_person())
    try:
        if isinstance(about, AboutTbx):
            return tbx.check_upload(upload, about)
        return (
            citations.check_upload(upload, about)
            if isinstance(about, AboutWorks)
            else tables.check_upload(upload, about)
        )
    except WordholdError:
        files.drop(upload)
        raise


def _kind(form: Form, name: str) -> str:
    """Return the file type.

    Raises:
        BadInput: neither its extension nor the form determines it.
    """
    chosen = form.line("kind") or ENDINGS.get(Path(name).suffix.lower(), "")
    if chosen not in KINDS:
        raise BadInput(
            _("The file extension of %(name)s does not show what kind of file it is.", name=Path(name).name),
            where="kind" if "kind" in form.texts else "file",
            fix=_("Choose the file type."),
        )
    return chosen


def _index(form: Form) -> str:
    kinds = [
        ("", _("detect from the file extension")),
        ("tbx", "TBX"),
        ("csv", _("a table, CSV")),
        ("xlsx", _("a table, XLSX")),
        *((name, _("sources, %(format)s", format=known.title)) for name, known in FORMATS.items()),
    ]
    for name in ("kind", "encoding"):
        if name not in form.texts:
            form = form.with_text(name, "")
    return render_template(
        "importing/index.html",
        form=form,
        kinds=kinds,
        encodings=[("", _("detect automatically")), *ENCODING_NAMES.items()],
        accept=",".join(ENDINGS),
        most=context.settings().max_upload,
    )
