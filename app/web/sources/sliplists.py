"""All slips: filtered by source, kind, certainty and whether they are sorted; in order of date; as CSV."""

from flask import Response, render_template, request

from app.web import context, lists
from app.web.blueprints import sources as blueprint
from termbase.record.sources import Certainty, SlipKind, locator
from termbase.store.slip_lists import (
    SLIP_ORDERS,
    SlipFilter,
    SlipOrder,
    SlipRow,
    count_slips,
    list_slips,
    list_sources,
)

__all__: list[str] = []

HEAD = (
    "id", "source", "date", "locator", "kind", "certainty", "name as printed", "quotation", "place",
    "entry", "name", "language", "note", "how the name is there",
)  # fmt: skip


@blueprint.get("/slips")
def slips() -> str:
    """The list of slips."""
    reader = context.reader()
    wanted, order, descending = _asked()
    part = lists.part_of(count_slips(reader, wanted))
    rows = list_slips(reader, wanted, order, descending=descending, offset=part.offset, limit=part.limit)
    template = "sources/slip_rows.html" if lists.is_part() else "sources/slips.html"
    return render_template(
        template,
        rows=rows,
        part=part,
        order=(order, descending),
        wanted=wanted,
        sources=[(row.source.id, row.source.label) for row in list_sources(reader)],
        kinds=[k.value for k in SlipKind],
        certainties=[c.value for c in Certainty],
        address=lists.address,
        narrowed=wanted != SlipFilter(),
    )


@blueprint.get("/slips.csv")
def export_slips() -> Response:
    """Return the filtered list as CSV."""
    wanted, order, descending = _asked()
    rows = list_slips(context.reader(), wanted, order, descending=descending)
    return lists.as_csv("slips.csv", HEAD, (_cells(row) for row in rows))


def _asked() -> tuple[SlipFilter, SlipOrder, bool]:
    args = request.args
    wanted = SlipFilter(
        args.get("source", ""), args.get("kind", ""), args.get("certainty", ""), args.get("sorting", ""),
        lists.typed(),
    )  # fmt: skip
    order: SlipOrder = next((known for known in SLIP_ORDERS if known == args.get("sort")), "date")
    return wanted, order, args.get("desc") == "1"


def _cells(row: SlipRow) -> tuple[object, ...]:
    slip = row.slip
    return (
        slip.id, row.source.label, row.date, locator(slip), slip.kind.value, slip.certainty.value, slip.name,
        slip.text, slip.place, row.entry_id, row.term, row.term_language, slip.note,
        slip.presence.value,
    )  # fmt: skip
