"""A table (CSV, XLSX): which column is which field, what it would change, choosing of it, taking it in."""

from collections.abc import Sequence
from dataclasses import replace
from typing import Final

from flask import redirect, render_template, url_for
from werkzeug.wrappers import Response

from app.web import context
from app.web.exchange.choosing import Seen, check_unchanged, counted, outcome_of, wanted
from app.web.exchange.section import MOST_SHOWN, blueprint, seen_through, taken_in
from app.web.exchange.shelf import BroughtTable, shelf
from app.web.exchange.tablefields import DEFAULTED, field_choices, tag_words, witnessed_choices
from app.web.forms import Form
from app.web.language import gettext as _
from app.web.progress import Finished, Job, start
from exports.tables import (
    Mapping,
    Sheet,
    TablePlan,
    guess,
    mapped,
    plan_table,
    read_csv,
    read_xlsx,
    sheet_titles,
    take_in_table,
)
from exports.tables.asking import comma_columns, open_questions
from exports.tables.detecting import DELIMITERS
from termbase import tags
from termbase.entries import Origin, Topic
from termbase.errors import BadInput, Conflict, NotFound, WordholdError
from termbase.incoming import State
from termbase.sources import Source
from termbase.store import Store

__all__ = ["look"]

Answer = Response | str | tuple[str, int]
ENCODING_NAMES: Final = {
    "utf-8": "UTF-8", "windows-1252": "Windows-1252", "iso-8859-14": "ISO 8859-14 (Latin 8)",
    "utf-16": "UTF-16", "mac-roman": "Mac OS Roman", "cp850": "DOS (850)",
}  # fmt: skip
SAMPLES: Final = 3
"""Rows of which the cells are shown beside the choice of a column's field."""
MOST_SOURCES: Final = 1_000
"""Labels of sources that are offered."""


def look(token: str, brought: BroughtTable, *, workbook: bool) -> Response:
    """Read a table; leads to the choice of its columns.

    Raises:
        WordholdError: it cannot be read.
    """
    to = url_for("exchange.columns", token=token)
    languages = _languages()

    def work(job: Job) -> Finished:
        job.tell(0, 0, _("Reading the rows"))
        if workbook:
            brought.titles = sheet_titles(brought.path, name=brought.name)
        _read(brought, brought.titles[0] if brought.titles else "", languages)
        return Finished(_("The table was read; nothing is taken in yet."), url=to)

    job = start(_("Reading %(name)s", name=brought.name), work, back=url_for("exchange.index"))
    return seen_through(job, to)


@blueprint.get("/table/<token>")
def columns(token: str) -> str:
    """Which column is which field."""
    brought = shelf().get(token, BroughtTable)
    sheet, mapping = _of(brought)
    values = {f"column-{n}": key for n, key in enumerate(mapping.columns)}
    defaults = dict(mapping.defaults)
    values |= {f"default-{name}": defaults.get(name, "") for name in DEFAULTED}
    values |= {f"split-{n}": mapping.split_of(n) for n in range(len(sheet.head))}
    values |= {"encoding": sheet.encoding, "delimiter": sheet.delimiter}
    return _columns(token, brought, sheet, Form.of(**values, sheet=brought.chosen, more=""))


@blueprint.post("/table/<token>")
def map_columns(token: str) -> Answer:
    """Take the choice of columns and work out what the table would change; or read another sheet."""
    brought, form = shelf().get(token, BroughtTable), Form.posted()
    sheet, _mapping = _of(brought)
    doing = form.text("do")
    try:
        if doing == "sheet":
            _read(brought, form.text("sheet"), _languages())
            return redirect(url_for("exchange.columns", token=token), 303)
        if doing == "read":
            return _read_again(token, brought, form)
        if doing == "more":
            return _columns(token, brought, sheet, form)
        mapping = _chosen(form, sheet)
    except BadInput as error:
        return _columns(token, brought, sheet, form.refused(error)), 400
    asked = _asked(form, sheet, mapping)
    if asked.errors:
        return _columns(token, brought, sheet, asked), 400
    to = url_for("exchange.preview", token=token)
    try:
        return seen_through(_planning(brought, sheet, mapping, token), to)
    except WordholdError as error:
        return _columns(token, brought, sheet, form.refused(error)), 400


def _read_again(token: str, brought: BroughtTable, form: Form) -> Response:
    """Read a CSV file once more, in the encoding and with the delimiter that were chosen.

    Raises:
        BadInput: it cannot be read so; it stays as it was read before.
    """
    before = brought.encoding, brought.delimiter
    encoding, delimiter = form.line("encoding"), form.text("delimiter")
    brought.encoding = encoding if encoding in ENCODING_NAMES else ""
    brought.delimiter = delimiter if delimiter in DELIMITERS else ""
    try:
        _read(brought, "", _languages())
    except BadInput as error:
        brought.encoding, brought.delimiter = before
        raise BadInput(error.what, where="encoding", mend=error.mend) from error
    return redirect(url_for("exchange.columns", token=token), 303)


def _asked(form: Form, sheet: Sheet, mapping: Mapping) -> Form:
    """The form, with an error beside every question that is open."""
    for question in open_questions(sheet, mapping):
        if question.about == "split":
            place = f"split-{question.column}"
            what = _("“%(cell)s” may be one name or several.", cell=question.example)
            mend = _("Say which; it holds for the column.")
        else:
            place = "default-witnessed"
            what = _(
                "Row %(row)s has several names, and no quotation shows which of them the source has.",
                row=question.row,
            )
            mend = _("Say which of them the source is a witness to.")
        form = form.with_text(place, form.text(place)).refused(BadInput(what, where=place, mend=mend))
    return form


@blueprint.get("/table/<token>/preview")
def preview(token: str) -> Answer:
    """What the table would change, or did."""
    brought = shelf().get(token, BroughtTable)
    if brought.outcome is not None:
        return render_template("exchange/done.html", brought=brought, outcome=brought.outcome)
    return _preview(token, brought, Form.of(take="new"))


@blueprint.post("/table/<token>/preview")
def take_table(token: str) -> Answer:
    """Take in what was chosen, as one act."""
    brought, form = shelf().get(token, BroughtTable), Form.posted()
    plan = _plan_of(brought)
    try:
        keys = wanted(form, _seen(plan))
    except BadInput as error:
        return _preview(token, brought, form.refused(error)), 400
    store, by = context.store(), context.current_person()
    to = url_for("exchange.preview", token=token)

    def work(job: Job) -> Finished:
        _take(store, by, brought, keys, job)
        return Finished(_("The table was taken in."), url=to)

    return taken_in(work, brought.name, to, lambda error: _preview(token, brought, form.refused(error)))


def _take(store: Store, by: str, brought: BroughtTable, keys: frozenset[str], job: Job) -> None:
    sheet, mapping = _of(brought)
    shown = _seen(_plan_of(brought))
    try:
        with store.act(by, f"took in {brought.name}") as act:
            job.tell(0, 0, _("Taking in entries"))
            now = plan_table(act, sheet, mapping)
            check_unchanged(keys, shown, _seen(now))
            take_in_table(act, replace(now, entries=tuple(e for e in now.entries if _key(e.rows) in keys)))
    except Conflict:
        with store.read() as reader:
            brought.plan = plan_table(reader, sheet, mapping)
        raise
    brought.outcome = outcome_of(shown, keys, act.id)


def _planning(brought: BroughtTable, sheet: Sheet, mapping: Mapping, token: str) -> Job:
    store, to = context.store(), url_for("exchange.preview", token=token)
    brought.mapping = mapping

    def work(job: Job) -> Finished:
        job.tell(0, 0, _("Comparing entries"))
        with store.read() as reader:
            brought.plan = plan_table(reader, sheet, mapping)
        brought.outcome = None
        return Finished(_("The table was looked through; nothing is taken in yet."), url=to)

    back = url_for("exchange.columns", token=token)
    return start(_("Looking at %(name)s", name=brought.name), work, back=back)


def _read(brought: BroughtTable, title: str, languages: Sequence[str]) -> None:
    if brought.titles:
        brought.sheet = read_xlsx(brought.path, name=brought.name, sheet=title)
    else:
        content = brought.path.read_bytes()
        brought.sheet = read_csv(
            content, brought.name, encoding=brought.encoding, delimiter=brought.delimiter
        )
    brought.chosen, brought.plan = title, None
    brought.mapping = guess(brought.sheet.head, languages)


def _chosen(form: Form, sheet: Sheet) -> Mapping:
    """The mapping that a form says.

    Raises:
        BadInput: `where` is the field of the column.
    """
    keys = [form.line(f"column-{n}") for n in range(len(sheet.head))]
    split = [form.line(f"split-{n}") for n in range(len(sheet.head))]
    try:
        return mapped(keys, {name: form.line(f"default-{name}") for name in DEFAULTED}, split)
    except BadInput as error:
        raise BadInput(error.what, where=f"column-{error.where}", mend=error.mend) from error


def _of(brought: BroughtTable) -> tuple[Sheet, Mapping]:
    if brought.sheet is None or brought.mapping is None:
        raise NotFound(_("This table was not read."), where=brought.name, mend=_("Bring it again."))
    return brought.sheet, brought.mapping


def _plan_of(brought: BroughtTable) -> TablePlan:
    if brought.plan is None:
        raise NotFound(_("This table was not looked through."), where=brought.name, mend=_("Bring it again."))
    return brought.plan


def _key(rows: tuple[int, ...]) -> str:
    return str(rows[0])


def _seen(plan: TablePlan) -> tuple[Seen, ...]:
    return tuple(
        Seen(
            _key(one.rows),
            one.name,
            one.entry.id,
            ", ".join(map(str, one.rows)),
            one.state,
            one.differences,
        )
        for one in plan.entries
    )


def _languages() -> tuple[str, ...]:
    termbase = context.termbase()
    return (termbase.working_language, *termbase.vernaculars)


def _columns(token: str, brought: BroughtTable, sheet: Sheet, form: Form) -> str:
    asked = [tag for tag in form.line("more").replace(",", " ").split() if tags.is_well_formed(tag)]
    keys = [form.line(f"column-{n}") for n in range(len(sheet.head))]
    choices = field_choices((*_languages(), *asked), keys)
    samples = [
        [str(row.cells[n]) if n < len(row.cells) else "" for row in sheet.rows[:SAMPLES]]
        for n in range(len(sheet.head))
    ]
    return render_template(
        "exchange/columns.html",
        token=token,
        brought=brought,
        sheet=sheet,
        form=form,
        choices=choices,
        samples=samples,
        named_languages=[(tag, tag_words(tag)) for tag in dict.fromkeys((*_languages(), *asked))],
        origins=[(o.value, _(o.value)) for o in Origin if o is not Origin.NOT_STATED],
        commas=comma_columns(sheet, Mapping(tuple(keys))),
        witnessed=witnessed_choices(keys),
        sources=[source.label for source in context.reader().all(Source)][:MOST_SOURCES],
        encodings=list(ENCODING_NAMES.items()),
        delimiters=[(",", _("commas")), (";", _("semicolons")), ("\t", _("tabs")), ("|", _("bars"))],
        topics=[(t.value, _(t.value)) for t in Topic],
    )


def _preview(token: str, brought: BroughtTable, form: Form) -> str:
    plan = _plan_of(brought)
    words = dict(field_choices(_languages(), [key for _head, key in plan.columns]))
    seen = _seen(plan)
    return render_template(
        "exchange/preview.html",
        form=form if "take" in form.texts else form.with_text("take", ""),
        brought=brought,
        counts=counted(seen),
        kind="entry",
        rows=True,
        seen=seen,
        most=MOST_SHOWN,
        columns=[(heading, words.get(key, key)) for heading, key in plan.columns if key],
        unread=(),
        plan=plan,
        slips={_key(one.rows): one.slips for one in plan.entries if one.slips},
        left_alone=[heading or str(n) for n, (heading, key) in enumerate(plan.columns, 1) if not key],
        here=url_for("exchange.preview", token=token),
        back=url_for("exchange.columns", token=token),
        states=State,
    )
