"""The list of sources, and a source's page: its data, slips and pages."""

from flask import Response, render_template, request, url_for
from werkzeug.routing import BuildError

from app.web import context, lists
from app.web.blueprints import sources as blueprint
from termbase.acts.sources import pages_of, uses_of
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

__all__ = ["order_asked", "pattern_address"]

HEAD = (
    "id", "label", "kind", "title", "author", "editor", "container", "publisher", "place", "issued", "pages",
    "archive", "shelfmark", "URL", "language", "styles", "rights", "note", "slips", "word-list pages",
)  # fmt: skip


@blueprint.get("")
def index() -> str:
    """The list of sources."""
    rows, order = _asked()
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
def export() -> Response:
    """Return the filtered list as CSV."""
    rows, _ = _asked()
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


def _asked() -> tuple[tuple[SourceRow, ...], tuple[SourceOrder, bool]]:
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
