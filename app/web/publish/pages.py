"""The pages of Publish: what is still missing, the forms of all outputs, recent files."""

from collections.abc import Mapping

from flask import render_template, url_for

from app.selection import ready_ids
from app.web import context, proof
from app.web.blueprints import publish as blueprint
from app.web.forms import Form
from app.web.language import gettext as _
from app.web.progress import State, jobs
from app.web.publish.asking import choices_of, first_values, options_of, refused, widget_of
from exports.losses import BOOKKEEPING
from exports.outputs import OUTPUTS, Output
from exports.tables.columns import ROWS, columns_of
from exports.tbx.reports import LossReport
from termbase.errors import BadInput, NotFound
from termbase.overviews.articles import Library
from termbase.proofing.checks import CHECKS
from termbase.record.entries import Entry
from termbase.rules.clauses import RuleCode
from termbase.store.entry_lists import EntryFilter, count_entries

__all__ = ["FORMS", "GLOSSARY", "KIND", "endpoint_of", "page_of", "refused_page"]

SHOWN = 6
"""Number of checks in the summary; the rest are in Proof."""
KIND = "kind"
"""The field for the kind of file, if a form has several outputs."""
GLOSSARY = tuple(each for each in OUTPUTS.values() if not each.offer.heading)
"""The outputs that share the form of the glossary, the main one first."""
FORMS: Mapping[str, tuple[Output, ...]] = {
    each.offer.address: tuple(
        other for other in OUTPUTS.values() if other.offer.address == each.offer.address
    )
    for each in OUTPUTS.values()
    if each.offer.heading
}
"""The outputs of each form with its own heading, by its address below /publish."""


@blueprint.get("")
def index() -> str:
    """Show what can be published, what is still missing, and recent files."""
    return _index(_first("index"))


@blueprint.get("/files")
def files() -> str:
    """Show tables, linked data, citations, backup, and recent files."""
    return _files(_first("files"))


@blueprint.get("/losses/<job_id>")
def losses(job_id: str) -> str:
    """Show what a TBX file kept and what it left out."""
    job = jobs().get(job_id)
    report = job.detail(LossReport)
    if report is None:
        raise NotFound(_("There is no report for this file."), where=job_id, fix=_("Create the file again."))
    # first what users will miss, then bookkeeping, then everything that is in the file
    fields = sorted(report.fields, key=lambda f: (not f.left_out, f.why == BOOKKEEPING, -f.left_out))
    return render_template("publish/losses.html", job=job, report=report, fields=fields)


def page_of(output: Output) -> str:
    """Return the page that offers an output: the endpoint of its view."""
    return "files" if output.offer.address.startswith("files/") else "index"


def endpoint_of(address: str) -> str:
    """Return the name of the view that receives a form."""
    return address.rpartition("/")[2]


def refused_page(outputs: tuple[Output, ...], form: Form, error: BadInput) -> tuple[str, int]:
    """Return the page with what was typed and the error beside its field, and its status."""
    page = page_of(outputs[0])
    others = [option for these in _forms(page) if these != outputs for option in options_of(these)]
    sent = Form({**_kind(page), **form.texts}, chosen=form.chosen)
    shown = refused(sent, error, options_of(outputs), others)
    return (_files(shown) if page == "files" else _index(shown)), 400


def _forms(page: str) -> tuple[tuple[Output, ...], ...]:
    """Return the outputs of each form of a page."""
    own = tuple(these for these in FORMS.values() if page_of(these[0]) == page)
    return own if page == "files" else (GLOSSARY, *own)


def _first(page: str) -> Form:
    """Return the forms with their defaults: everything, drafts marked, in the reader's language."""
    values = {**_kind(page)}
    for these in _forms(page):
        values |= first_values(options_of(these))
    return Form(values)


def _kind(page: str) -> dict[str, tuple[str, ...]]:
    """Return the default kind: the first output of a form that has several."""
    several = [these for these in _forms(page) if len(these) > 1 and these != GLOSSARY]
    return {KIND: (several[0][0].name,)} if several else {}


def _kinds_of(outputs: tuple[Output, ...]) -> list[tuple[str, str]]:
    """Return the kinds of file of a form with several outputs: the value submitted, and its name."""
    return [(each.name, each.name.upper()) for each in outputs]


def _page(page: str, form: Form, **more: object) -> str:
    """Return one of the two pages, with the values that both need."""
    return render_template(
        f"publish/{page}.html",
        form=form,
        forms={address: these for address, these in FORMS.items() if page_of(these[0]) == page},
        choices_of=choices_of,
        options_of=options_of,
        kinds_of=_kinds_of,
        widget_of=widget_of,
        endpoint_of=endpoint_of,
        made=jobs().newest(url_for(f"publish.{page}")),
        finished=State.FINISHED,
        **more,
    )


def _index(form: Form) -> str:
    reader = context.reader()
    checked, fresh = proof.known()
    return _page(
        "index",
        form,
        glossary=GLOSSARY,
        asked={option.name: option for option in options_of(GLOSSARY)},
        codes=reader.count(RuleCode),
        entries=reader.count(Entry),
        ready=count_entries(reader, EntryFilter(stage="ready")),
        missing=_missing(checked),
        proofed=_proofed(checked),
        checked=checked,
        fresh=fresh,
    )


def _files(form: Form) -> str:
    library = Library(context.reader())
    columns = {rows: [column.key for column in columns_of(library, rows)] for rows in ROWS}
    return _page("files", form, columns=columns)


def _missing(checked: proof.Checked | None) -> list[tuple[str, str, int]]:
    """Return the checks with the most findings: code, title, number."""
    if checked is None:
        return []
    numbers = checked.by_check
    rows = [(check.code, check.title, numbers[check.code]) for check in CHECKS if numbers[check.code]]
    return sorted(rows, key=lambda row: -row[2])[:SHOWN]


def _proofed(checked: proof.Checked | None) -> tuple[int, int]:
    """Return the number of findings in total, and without drafts."""
    if checked is None or not checked.findings:
        return 0, 0
    every, of_entries = len(checked.findings), checked.by_entry
    ready = context.cached("ready entries", lambda reader: tuple(ready_ids(reader)))
    return every, every - of_entries.total() + sum(of_entries[entry_id] for entry_id in ready)
