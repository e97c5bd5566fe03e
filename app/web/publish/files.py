"""Other files: tables, linked data, citations, and a backup of everything; each by a job of its own."""

from collections.abc import Callable, Iterable
from datetime import UTC, datetime
from typing import TypeVar

from flask import render_template, url_for
from werkzeug.wrappers import Response

from app.selecting import ready_ids
from app.web import context
from app.web.forms import Form
from app.web.language import gettext as _
from app.web.progress import Finished, Job, State, jobs, start, to_job
from app.web.publish.section import blueprint
from exports.backup import write_backup
from exports.citations import FORMATS as CITATION_FORMATS
from exports.citations import write_citations
from exports.fieldlabels import label_of
from exports.losses import LeftOut, told
from exports.skos import FORMATS as SKOS_FORMATS
from exports.skos import write_skos
from exports.skos.vocabulary import DEFAULT_BASE, Addresses
from exports.tables import columns_of, write_table
from exports.tables.columns import ROWS
from exports.tables.columns import chosen as chosen_columns
from exports.tables.leftout import LEFT_OUT
from termbase.articles import Library
from termbase.errors import BadInput
from termbase.messages import joined, message, message_of_number
from termbase.sources import Source
from termbase.store import Reader

__all__: list[str] = []

Page = Response | tuple[str, int]
One = TypeVar("One", bound=str)
Write = Callable[[Reader, Job], Finished]
KINDS = ("xlsx", "csv")
ENTRIES = ("all", "ready")


@blueprint.get("/files")
def files() -> str:
    """Tables, linked data, citations, backup: what can be had, and what was made last."""
    return _page(_first())


@blueprint.post("/files/table")
def table() -> Page:
    """Write the entries as a table."""
    form = Form.posted()
    try:
        kind = _one_of(KINDS, form.line("kind"), "kind")
        rows = _one_of(ROWS, form.line("rows"), "rows")
        ready = _one_of(ENTRIES, form.line("entries"), "entries") == "ready"
        asked = tuple(filter(None, (line.strip() for line in form.text("columns").splitlines())))
        chosen_columns(columns_of(Library(context.reader()), rows), asked)
    except BadInput as error:
        return _page(_refused(form, error)), 400

    def write(reader: Reader, job: Job) -> Finished:
        library = Library(reader)
        path = job.folder / f"{rows}.{kind}"
        columns = chosen_columns(columns_of(library, rows), asked)
        ids = ready_ids(reader) if ready else None
        left_out = LeftOut({} if asked else LEFT_OUT[rows])  # whoever names columns knows what is not there
        number = write_table(
            library, path, columns, rows=rows, ids=ids, on_progress=job.tell, left_out=left_out
        )
        words = message_of_number("%(n)s row.", "%(n)s rows.", number)
        return Finished(joined((words, *told(left_out.losses(label_of)))), file=path)

    return _made(message("Table, %(kind)s", kind=kind.upper()), write)


@blueprint.post("/files/skos")
def skos() -> Page:
    """Write the entries as linked data."""
    form = Form.posted()
    try:
        name = _one_of(SKOS_FORMATS, form.line("skos_format"), "skos_format")
        ready = _one_of(ENTRIES, form.line("skos_entries"), "skos_entries") == "ready"
        base = Addresses.at(form.line("base")).base
    except BadInput as error:
        return _page(_refused(form, error)), 400

    def write(reader: Reader, job: Job) -> Finished:
        path = job.folder / f"glossary{SKOS_FORMATS[name]}"
        ids = ready_ids(reader) if ready else None
        report = write_skos(Library(reader), path, name, base=base, ids=ids, on_progress=job.tell)
        concepts = message_of_number("%(n)s concept", "%(n)s concepts", report.concepts)
        triples = message_of_number("%(n)s triple.", "%(n)s triples.", report.triples)
        return Finished(joined((joined((concepts, triples), ", "), *report.warnings())), file=path)

    return _made(message("Linked data (SKOS)"), write)


@blueprint.post("/files/citations")
def citations() -> Page:
    """Write the sources for a program that keeps references."""
    form = Form.posted()
    try:
        name = _one_of(CITATION_FORMATS, form.line("citation_format"), "citation_format")
    except BadInput as error:
        return _page(_refused(form, error)), 400

    def write(reader: Reader, job: Job) -> Finished:
        path = job.folder / f"sources{CITATION_FORMATS[name].suffixes[0]}"
        number = write_citations(reader.all(Source), path, name)
        return Finished(message_of_number("%(n)s source.", "%(n)s sources.", number), file=path)

    return _made(message("Sources, %(format)s", format=CITATION_FORMATS[name].title), write)


@blueprint.post("/files/backup")
def backup() -> Page:
    """Write everything into one zip."""

    def write(reader: Reader, job: Job) -> Finished:
        today = datetime.now(UTC).date().isoformat()
        path = job.folder / f"backup-{today}.zip"
        report = write_backup(reader, path, made_on=today, on_progress=job.tell)
        return Finished(joined((report.readable(), "."), ""), file=path)

    return _made(message("Backup of everything"), write)


def _made(title: str, write: Write) -> Response:
    store = context.store()

    def work(job: Job) -> Finished:
        with store.read() as reader:
            return write(reader, job)

    return to_job(start(title, work, url_for("publish.files")))


def _first() -> Form:
    return Form.of(
        kind="xlsx", rows="names", entries="all", columns="", skos_format="turtle", skos_entries="all",
        base=DEFAULT_BASE, citation_format="csl-json",
    )  # fmt: skip


def _refused(form: Form, error: BadInput) -> Form:
    """The forms with what was chosen in one of them, and the others as at first."""
    at = {"column": "columns"}
    return Form({**_first().texts, **form.texts}).refused(error, at)


def _page(form: Form) -> str:
    library = Library(context.reader())
    here = url_for("publish.files")
    return render_template(
        "publish/files.html",
        form=form,
        columns={rows: [column.key for column in columns_of(library, rows)] for rows in ROWS},
        skos_formats=[("turtle", "Turtle"), ("json-ld", "JSON-LD")],
        citation_formats=[(name, known.title) for name, known in CITATION_FORMATS.items()],
        made=jobs().newest(here),
        finished=State.FINISHED,
    )


def _one_of(known: Iterable[One], asked: str, where: str) -> One:
    found = next((each for each in known if each == asked), None)
    if found is None:
        raise BadInput(
            _("“%(asked)s” is none of the choices.", asked=asked),
            where=where,
            mend=_("Choose one of those shown."),
        )
    return found
