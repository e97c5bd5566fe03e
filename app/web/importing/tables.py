"""Importing a table (CSV, XLSX): the choices for each column, the preview, and the import."""

from collections.abc import Callable, Iterable, Sequence
from dataclasses import replace
from functools import lru_cache
from pathlib import Path
from typing import Final

from flask import redirect, render_template, url_for
from werkzeug.wrappers import Response

from app.web import context
from app.web.forms import Form
from app.web.importing.choosing import MOST_SHOWN, Seen, blueprint, seen_through
from app.web.importing.taking import Answer, ImportJob, preview_or_outcome, preview_page, take_chosen
from app.web.importing.uploads import AboutTable, Preview, SeenSlip, Upload, Uploads, uploads
from app.web.language import gettext as _
from app.web.language import interface_language
from app.web.progress import Finished, Job, start
from exports.tables.asking import comma_columns, open_questions
from exports.tables.detecting import DELIMITERS
from exports.tables.fields import FIELDS, field_at, record_at
from exports.tables.importing import TablePlan, import_table, plan_table
from exports.tables.mapping import IN_A_LANGUAGE, Mapping, guess, mapped
from exports.tables.reading import Sheet, read_csv, read_xlsx, sheet_titles
from termbase.errors import BadInput, NotFound, ReportedAt, WordholdError
from termbase.importing.records import State
from termbase.languages import tags
from termbase.messages import message
from termbase.record.entries import Entry, Origin, Term, Topic
from termbase.record.sources import Slip, Source
from termbase.store.engine import Store
from termbase.store.workrows import PATIENCE
from termbase.store.writing import Act

__all__ = ["DEFAULTED", "check_upload", "field_choices", "tag_words", "witnessed_choices"]


DEFAULTED: Final = ("language", "origin", "topic", "source", "witnessed")
"""Fields that can have a default value, used for empty cells or if there is no column."""

_RECORDS: Final = {Entry: "entry", Term: "name", Slip: "slip"}


def field_choices(languages: Iterable[str], keys: Sequence[str] = ()) -> list[tuple[str, str]]:
    """Return the fields that a column can be, as keys and labels.

    Names and definitions are offered in these languages and in those already chosen."""
    chosen = (key.partition(":")[2] for key in keys if key.partition(":")[0] in IN_A_LANGUAGE)
    offered = dict.fromkeys(tags.canonical(tag) for tag in (*languages, *chosen) if tags.is_well_formed(tag))
    labels = {tag: tag_words(tag) for tag in offered}
    names = [(f"names:{tag}", _("names, %(language)s", language=label)) for tag, label in labels.items()]
    defined = [
        (f"definition:{tag}", _("definition, %(language)s", language=tag_words(tag))) for tag in offered
    ]
    rest = [(key, _field_words(key)) for key in FIELDS]
    return [("", _("ignore")), *names, *defined, *rest]


def _field_words(key: str) -> str:
    """Return the label of a field, preceded by that of its record: most records have notes."""
    heading, record = _(field_at(key).heading), _(_RECORDS[record_at(key)])
    return heading if heading == record else f"{record}: {heading}"


def witnessed_choices(keys: Sequence[str]) -> list[tuple[str, str]]:
    """Return the options for the names that a source is a witness to, if its quotation contains none of
    them."""
    of_columns = [
        (key, _("only the names in %(language)s", language=tag_words(key.partition(":")[2])))
        for key in dict.fromkeys(keys)
        if key.startswith("names:")
    ]
    return [
        ("", "–"),
        ("all", _("every name in the row")),
        *of_columns,
        ("none", _("none: leave the slip unsorted")),
    ]


def tag_words(tag: str) -> str:
    """Return the name of a language, with its tag."""
    return f"{tags.display_name(tag, interface_language())} ({tag})"


ENCODING_NAMES: Final = {
    "utf-8": "UTF-8", "windows-1252": "Windows-1252", "iso-8859-14": "ISO 8859-14 (Latin 8)",
    "utf-16": "UTF-16", "mac-roman": "Mac OS Roman", "cp850": "DOS (850)",
}  # fmt: skip
SAMPLES: Final = 3
"""Number of rows whose cells are shown beside each column's choice."""
MOST_SOURCES: Final = 1_000
"""Maximum number of source labels that are suggested."""


def check_upload(upload: Upload, about: AboutTable) -> Response:
    """Read a table; leads to the choice of its columns.

    Raises:
        WordholdError: it cannot be read.
    """
    files, to = uploads(), url_for("exchange.columns", token=upload.token)
    languages = context.termbase().languages

    def work(job: Job) -> Finished:
        job.tell(0, 0, message("Reading the rows"))
        titles = sheet_titles(upload.path, name=upload.name) if about.workbook else ()
        read = replace(about, titles=titles, chosen=titles[0] if titles else "")
        _read(files, upload, read, languages, patience=PATIENCE)
        return Finished(message("The table has been read; nothing has been imported yet."), url=to)

    title = message("Reading %(name)s", name=upload.name)
    return seen_through(start(title, work, back=url_for("exchange.index")), to)


@blueprint.get("/table/<token>")
def columns(token: str) -> str:
    """Show which column is which field."""
    upload, about = uploads().get(token, AboutTable)
    sheet, mapping = _of(upload, about)
    values = {f"column-{n}": key for n, key in enumerate(mapping.columns)}
    defaults = dict(mapping.defaults)
    values |= {f"default-{name}": defaults.get(name, "") for name in DEFAULTED}
    values |= {f"split-{n}": mapping.split_of(n) for n in range(len(sheet.head))}
    values |= {"encoding": sheet.encoding, "delimiter": sheet.delimiter}
    return _columns(upload, about, sheet, Form.of(**values, sheet=about.chosen, more=""))


@blueprint.post("/table/<token>")
def map_columns(token: str) -> Answer:
    """Accept the choice of columns and compute what the table would change; or read another sheet."""
    (upload, about), form = uploads().get(token, AboutTable), Form.posted()
    sheet, _mapping = _of(upload, about)
    doing = form.text("do")
    try:
        if doing == "sheet":
            _read(uploads(), upload, replace(about, chosen=form.text("sheet")), context.termbase().languages)
            return redirect(url_for("exchange.columns", token=token), 303)
        if doing == "read":
            return _read_again(upload, about, form)
        if doing == "more":
            return _columns(upload, about, sheet, form)
        mapping = _chosen(form, sheet)
    except BadInput as error:
        return _columns(upload, about, sheet, form.refused(error)), 400
    asked = _asked(form, sheet, mapping)
    if asked.errors:
        return _columns(upload, about, sheet, asked), 400
    try:
        return _planning(upload, replace(about, mapping=mapping), sheet, mapping)
    except WordholdError as error:
        return _columns(upload, about, sheet, form.refused(error)), 400


def _read_again(upload: Upload, about: AboutTable, form: Form) -> Response:
    """Read a CSV file again, with the chosen encoding and delimiter.

    Raises:
        BadInput: it cannot be read this way; the earlier result is kept.
    """
    encoding, delimiter = form.line("encoding"), form.text("delimiter")
    again = replace(
        about,
        encoding=encoding if encoding in ENCODING_NAMES else "",
        delimiter=delimiter if delimiter in DELIMITERS else "",
    )
    with ReportedAt("encoding"):
        _read(uploads(), upload, again, context.termbase().languages)
    return redirect(url_for("exchange.columns", token=upload.token), 303)


def _asked(form: Form, sheet: Sheet, mapping: Mapping) -> Form:
    """Return the form, with an error beside every open question."""
    for question in open_questions(sheet, mapping):
        if question.about == "split":
            place = f"split-{question.column}"
            what = _("“%(cell)s” could be one name or several.", cell=question.example)
            fix = _("Choose which; this applies to the whole column.")
        else:
            place = "default-witnessed"
            what = _(
                "Row %(row)s has several names, and no quotation shows which of them the source uses.",
                row=question.row,
            )
            fix = _("Choose which of them the source is a witness to.")
        form = form.with_text(place, form.text(place)).refused(BadInput(what, where=place, fix=fix))
    return form


@blueprint.get("/table/<token>/preview")
def preview(token: str) -> Answer:
    """Show what the table would change, or did."""
    return preview_or_outcome(*uploads().get(token, AboutTable), _preview)


@blueprint.post("/table/<token>/preview")
def take_table(token: str) -> Answer:
    """Import what was chosen, as one act."""
    upload, about = uploads().get(token, AboutTable)
    (sheet, mapping), store, files = _of(upload, about), context.store(), uploads()

    def planned(act: Act) -> tuple[tuple[Seen, ...], Callable[[frozenset[str]], None]]:
        now = plan_table(act, sheet, mapping)

        def take(keys: frozenset[str]) -> None:
            chosen = tuple(entry for entry in now.entries if _key(entry.rows) in keys)
            import_table(act, replace(now, entries=chosen))

        return _seen(now), take

    import_job = ImportJob(
        AboutTable,
        to=url_for("exchange.preview", token=token),
        doing=message("Importing entries"),
        done=message("The table has been imported."),
        planned=planned,
        compare=lambda: _compare(store, files, upload, about, sheet, mapping),
        page=_preview,
    )
    return take_chosen(upload, about, import_job)


def _planning(upload: Upload, about: AboutTable, sheet: Sheet, mapping: Mapping) -> Response:
    """Compute what a table would change; leads to the preview.

    Raises:
        WordholdError: it cannot be imported this way.
    """
    store, files, to = context.store(), uploads(), url_for("exchange.preview", token=upload.token)

    def work(job: Job) -> Finished:
        job.tell(0, 0, message("Comparing entries"))
        _compare(store, files, upload, about, sheet, mapping)
        return Finished(message("The table has been checked; nothing has been imported yet."), url=to)

    back = url_for("exchange.columns", token=upload.token)
    return seen_through(start(message("Checking %(name)s", name=upload.name), work, back=back), to)


def _compare(
    store: Store, files: Uploads, upload: Upload, about: AboutTable, sheet: Sheet, mapping: Mapping
) -> None:
    """Compute what a table would change, and store it."""
    with store.read() as reader:
        plan = plan_table(reader, sheet, mapping)
    seen = _seen(plan)
    shown = {row.key for state in State for row in [s for s in seen if s.state is state][:MOST_SHOWN]}
    slips = {
        key: tuple(
            SeenSlip(slip.source, slip.name[0] if slip.name else "", slip.slip.text, slip.slip.date)
            for slip in entry.slips
        )
        for entry in plan.entries
        if entry.slips and (key := _key(entry.rows)) in shown
    }
    preview = Preview(seen, plan.columns, plan.slips, plan.new_sources, slips)
    preview_id = files.keep_preview(upload, preview, about.preview)
    changed = replace(about, mapping=mapping, preview=preview_id, outcome=None)
    files.change(upload, AboutTable, lambda _now: changed, patience=PATIENCE)


def _read(
    files: Uploads, upload: Upload, about: AboutTable, languages: Sequence[str], *, patience: float = 0.0
) -> None:
    """Read a table with these settings, guess the fields of its columns, and store the result."""
    sheet = _sheet(upload, about)
    read = replace(about, mapping=guess(sheet.head, languages), preview="")
    files.change(upload, AboutTable, lambda _now: read, patience=patience)


def _sheet(upload: Upload, about: AboutTable) -> Sheet:
    return _sheet_in(upload.path, upload.name, about.workbook, about.chosen, about.encoding, about.delimiter)


@lru_cache(maxsize=4)
def _sheet_in(path: Path, name: str, workbook: bool, title: str, encoding: str, delimiter: str) -> Sheet:
    """Return the rows of a table; cached, since an uploaded file never changes."""
    if workbook:
        return read_xlsx(path, name=name, sheet=title)
    return read_csv(path.read_bytes(), name, encoding=encoding, delimiter=delimiter)


def _chosen(form: Form, sheet: Sheet) -> Mapping:
    """Return the mapping that a form gives.

    Raises:
        BadInput: `where` is the field of the column.
    """
    keys = [form.line(f"column-{n}") for n in range(len(sheet.head))]
    split = [form.line(f"split-{n}") for n in range(len(sheet.head))]
    with ReportedAt(lambda error: f"column-{error.where}"):
        return mapped(keys, {name: form.line(f"default-{name}") for name in DEFAULTED}, split)


def _of(upload: Upload, about: AboutTable) -> tuple[Sheet, Mapping]:
    if about.mapping is None:
        raise NotFound(_("This table could not be read."), where=upload.name, fix=_("Upload it again."))
    return _sheet(upload, about), about.mapping


def _key(rows: tuple[int, ...]) -> str:
    return str(rows[0])


def _seen(plan: TablePlan) -> tuple[Seen, ...]:
    return tuple(
        Seen(
            _key(planned.rows),
            planned.name,
            planned.entry.id,
            ", ".join(map(str, planned.rows)),
            planned.state,
            planned.differences,
        )
        for planned in plan.entries
    )


def _columns(upload: Upload, about: AboutTable, sheet: Sheet, form: Form) -> str:
    asked = [tag for tag in form.line("more").replace(",", " ").split() if tags.is_well_formed(tag)]
    keys = [form.line(f"column-{n}") for n in range(len(sheet.head))]
    languages = tuple(dict.fromkeys((*context.termbase().languages, *asked)))
    choices = field_choices(languages, keys)
    samples = [
        [str(row.cells[n]) if n < len(row.cells) else "" for row in sheet.rows[:SAMPLES]]
        for n in range(len(sheet.head))
    ]
    return render_template(
        "importing/columns.html",
        token=upload.token,
        upload=upload,
        about=about,
        sheet=sheet,
        form=form,
        choices=choices,
        samples=samples,
        named_languages=[(tag, tag_words(tag)) for tag in languages],
        origins=[(o.value, _(o.value)) for o in Origin if o is not Origin.NOT_STATED],
        commas=comma_columns(sheet, Mapping(tuple(keys))),
        witnessed=witnessed_choices(keys),
        sources=[source.label for source in context.reader().all(Source)][:MOST_SOURCES],
        encodings=list(ENCODING_NAMES.items()),
        delimiters=[(",", _("commas")), (";", _("semicolons")), ("\t", _("tabs")), ("|", _("vertical bars"))],
        topics=[(t.value, _(t.value)) for t in Topic],
    )


def _preview(upload: Upload, about: AboutTable, form: Form) -> str:
    preview = uploads().preview(about.preview, Preview)
    words = dict(field_choices(context.termbase().languages, [key for _head, key in preview.columns]))
    return preview_page(
        upload,
        preview,
        form,
        kind="entry",
        columns=[(heading, words.get(key, key)) for heading, key in preview.columns if key],
        left_alone=[heading or str(n) for n, (heading, key) in enumerate(preview.columns, 1) if not key],
        here=url_for("exchange.preview", token=upload.token),
        back=url_for("exchange.columns", token=upload.token),
    )
