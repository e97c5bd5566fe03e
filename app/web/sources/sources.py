"""The list of sources, the page of a source, and adding, editing and deleting a source."""

from flask import Response as FlaskResponse
from flask import render_template, request, url_for
from werkzeug.routing import BuildError
from werkzeug.wrappers import Response

from app.web import context, lists
from app.web.blueprints import sources as blueprint
from app.web.forms import Form
from app.web.language import date_words, translated
from app.web.language import gettext as _
from app.web.recordforms import RecordForm
from termbase.acts.sources import pages_of, remove_source, save_source, uses_of
from termbase.codes.deeds import Deed
from termbase.dates import edtf
from termbase.errors import BadInput, Conflict, InUse, Problems
from termbase.messages import joined, message
from termbase.record.sources import Source, SourceKind
from termbase.store.slip_lists import (
    SOURCE_ORDERS,
    SlipFilter,
    SourceFilter,
    SourceOrder,
    SourceRow,
    count_slips,
    count_unsorted,
    list_slips,
    list_sources,
)

__all__ = ["FORM", "order_asked", "pattern_address", "source_form"]


HEAD = (
    "id", "label", "kind", "title", "author", "editor", "container", "publisher", "place", "issued", "pages",
    "archive", "shelfmark", "URL", "language", "styles", "rights", "note", "slips", "word-list pages",
)  # fmt: skip


FORM = RecordForm(
    Source,
    without={"pattern": "It is edited on a separate page."},
    unsaid={"kind": (message("Choose what kind of source it is."), message("Choose one from the list."))},
)
NEW = Source(id="", label="", kind=SourceKind.OTHER, title="")
Page = str | Response | tuple[str, int]


@blueprint.get("")
def index() -> str:
    """Show the list of sources."""
    rows, order = _requested()
    part = lists.part_of(len(rows))
    template = "sources/rows.html" if lists.is_part() else "sources/index.html"
    return render_template(
        template,
        rows=rows[part.offset : part.offset + part.limit],
        part=part,
        order=order,
        kinds=[k.value for k in SourceKind],
        typed=lists.typed(),
        narrowed=bool(lists.typed() or request.args.get("kind")),
        address=lists.address,
        unsorted=count_unsorted(context.reader()),
    )


@blueprint.get("/list.csv")
def export() -> FlaskResponse:
    """Return the filtered list as CSV."""
    rows, _ = _requested()
    return lists.as_csv("sources.csv", HEAD, (_cells(row) for row in rows))


@blueprint.get("/<source_id>")
def show(source_id: str) -> str:
    """Show a source, what depends on it, and its slips in order of locator."""
    return page_of(source_id)


def page_of(source_id: str, **more: object) -> str:
    """Return the page of a source; `more` is extra values for its template, such as an error."""
    reader = context.reader()
    source = reader.get(Source, source_id)
    wanted = SlipFilter(source_id=source_id)
    part = lists.part_of(count_slips(reader, wanted))
    return render_template(
        "sources/source.html",
        source=source,
        slips=list_slips(reader, wanted, "source", offset=part.offset, limit=part.limit),
        part=part,
        pages=pages_of(reader, source_id),
        counts=reader.page_counts(),
        unsorted=count_unsorted(reader, source_id),
        uses=uses_of(reader, source_id),
        pattern=pattern_address(source),
        address=lists.address,
        **{"error": None} | more,
    )


def pattern_address(source: Source) -> str:
    """Return the address where a word-list's line pattern is edited; empty for other kinds of source."""
    if source.kind is not SourceKind.WORD_LIST:
        return ""
    try:
        return url_for("pages.pattern", source_id=source.id)
    except BuildError:
        return url_for("pages.index")


def order_asked() -> tuple[SourceOrder, bool]:
    """Return the order requested in the address, and whether it is reversed."""
    asked = request.args.get("sort", "")
    order: SourceOrder = next((known for known in SOURCE_ORDERS if known == asked), "label")
    return order, request.args.get("desc") == "1"


def _requested() -> tuple[tuple[SourceRow, ...], tuple[SourceOrder, bool]]:
    order, descending = order_asked()
    wanted = SourceFilter(lists.typed(), request.args.get("kind", ""))
    rows = list_sources(context.reader(), wanted, order, descending=descending)
    return rows, (order, descending)


def _cells(row: SourceRow) -> tuple[object, ...]:
    s = row.source
    return (
        s.id, s.label, s.kind.value, s.title, s.author, s.editor, s.container, s.publisher, s.place, s.issued,
        s.pages, s.archive, s.shelfmark, s.url, s.language, "; ".join(s.styles), s.rights, s.note, row.slips,
        row.pages,
    )  # fmt: skip


@blueprint.get("/new")
def new() -> str:
    """Show the form for a new source, prefilled from the address."""
    asked = {name: text for name, text in request.args.items() if name in FORM.filled(NEW)}
    return _form(Form.of(**{**FORM.filled(NEW), "kind": SourceKind.NEWSPAPER.value, **asked}), None)


@blueprint.post("/new")
def add() -> Page:
    """Add a source."""
    form = Form.posted()
    try:
        with context.act(Deed.SOURCE_ADDED(label=form.line("label"))) as act, Problems() as problems:
            saved = save_source(act, FORM.read(form, NEW, problems))
    except BadInput as error:
        return _form(FORM.refused(form, error), None), 400
    return context.done(act, url_for("sources.show", source_id=saved.id))


@blueprint.get("/<source_id>/edit")
def edit(source_id: str) -> str:
    """Show the form for a source."""
    source = context.reader().get(Source, source_id)
    return _form(source_form(source), source)


@blueprint.post("/<source_id>/edit")
def change(source_id: str) -> Page:
    """Save a source; its line pattern, which has its own page, is kept."""
    before = context.reader().get(Source, source_id)
    form = Form.posted()
    try:
        with context.act(Deed.SOURCE_CHANGED(label=form.line("label"))) as act, Problems() as problems:
            save_source(act, FORM.read(form, before, problems))
    except BadInput as error:
        return _form(FORM.refused(form, error), before), 400
    except Conflict as error:
        current = context.reader().get(Source, source_id)
        return _form(form.against(source_form(current), error), current), 409
    return context.done(act, url_for("sources.show", source_id=source_id))


@blueprint.post("/<source_id>/remove")
def remove(source_id: str) -> Page:
    """Delete a source that nothing depends on."""
    source = context.reader().get(Source, source_id)
    try:
        with context.act(Deed.SOURCE_REMOVED(label=source.label)) as act:
            remove_source(act, source_id)
    except InUse as error:
        return page_of(source_id, error=error), 409
    return context.done(act, url_for("sources.index"))


@blueprint.get("/date")
def date() -> dict[str, str]:
    """Return an EDTF date in words, or what is wrong with it; for the script that shows it while typing."""
    text = request.args.get("edtf", "").strip()
    if not text:
        return {"words": "", "error": ""}
    try:
        return {"words": edtf.readable(edtf.parse(text), date_words()), "error": ""}
    except BadInput as error:
        return {"words": "", "error": translated(joined((error.what, error.fix)))}


def source_form(source: Source) -> Form:
    """Return the form filled from a source."""
    return Form.of(**FORM.filled(source))


def _form(form: Form, source: Source | None) -> str:
    return render_template(
        "sources/source_form.html",
        form=form,
        source=source,
        kinds=[(k.value, _(k.value)) for k in SourceKind],
    )
