"""The history: recent acts, every change of a record field by field, and restoring earlier states."""

from dataclasses import dataclass

from flask import Blueprint, render_template, request, url_for
from werkzeug.wrappers import Response

from app.web import context, lists
from app.web.language import gettext as _
from termbase.acts import history
from termbase.codes.deeds import restored
from termbase.errors import NotFound
from termbase.record.differences import Difference, differences
from termbase.store.reading import ChangeRecord
from termbase.store.rows import KINDS, ActRecord

__all__ = ["blueprint"]

ACTS = 60
MOST_FIELDS = 40  # fields of a change that are shown one by one
RECORDS = 50  # on one page of an act
MOST_OPEN = 3  # records of an act that are shown unfolded
PAGES = {"entry": "entries", "source": "sources", "page": "pages", "trial": "trials", "code": "rules"}
"""Record types with their own page, and its section."""

blueprint = Blueprint("history", __name__, url_prefix="/history")


@dataclass(frozen=True)
class ShownChange:
    """A change with the fields that differ; `newest` if its state is the current one."""

    change: ChangeRecord
    fields: tuple[Difference, ...]
    newest: bool = False

    @property
    def more(self) -> int:
        """Number of fields that are not shown."""
        return max(0, len(self.fields) - MOST_FIELDS)


@blueprint.get("")
def index() -> str:
    """Show everyone's recent acts, newest first."""
    number = request.args.get("number", "")
    wanted = int(number) if number.isascii() and number.isdigit() and len(number) < 6 else ACTS
    reader = context.reader()
    acts = reader.last_acts(wanted + 1)
    return render_template(
        "history/acts.html", acts=acts[:wanted], more=len(acts) > wanted, asked=wanted,
        making=history.making_act(reader),
    )  # fmt: skip


@blueprint.get("/act/<int:act_id>")
def act(act_id: int) -> str:
    """Show everything that one act changed."""
    reader = context.reader()
    total, changes = reader.changed_records(act_id, RECORDS)
    if not changes:
        raise NotFound(_("There is no such change."), where=str(act_id), fix=_("Check the history."))
    part = lists.part_of(total, RECORDS)
    if part.offset:
        _total, changes = reader.changed_records(act_id, RECORDS, part.offset)
    shown = [ShownChange(c, _differences(c)) for c in changes]
    return render_template(
        "history/act.html", act=changes[0].act, changes=shown, part=part, folded=total > MOST_OPEN,
        most=MOST_FIELDS, address=lists.address, making=history.making_act(reader),
    )  # fmt: skip


@blueprint.get("/<kind>/<record_id>")
def record(kind: str, record_id: str) -> str:
    """Show every change of a record, newest first."""
    changes = context.reader().history(_kind(kind), record_id)
    if not changes:
        raise NotFound(
            _("There is no record of this: %(kind)s %(id)s.", kind=_(kind), id=record_id),
            where=record_id,
            fix=_("Check the id."),
        )
    shown = [ShownChange(c, _differences(c), n == 0) for n, c in enumerate(changes)]
    return render_template(
        "history/record.html", changes=shown, kind=kind, record_id=record_id, gone=changes[0].after is None,
        most=MOST_FIELDS, address=_address, merged_into=_merged_into(kind, record_id),
    )  # fmt: skip


def _differences(change: ChangeRecord) -> tuple[Difference, ...]:
    known = KINDS.get(change.kind)
    return differences(change.before, change.after, known.cls if known else None)


def _merged_into(kind: str, record_id: str) -> str:
    """Return the id of the entry that an entry was merged into, or an empty string."""
    current_id = context.reader().current_id(record_id) if kind == "entry" else record_id
    return current_id if current_id != record_id else ""


@blueprint.post("/<kind>/<record_id>/back/<int:act_id>")
def bring_back(kind: str, record_id: str, act_id: int) -> Response:
    """Restore an earlier state."""
    earlier = _act_of_state(kind, record_id, act_id)
    with context.act(restored(record_id, earlier.at[:10], earlier.what, act_id)) as this:
        history.restore_state(this, kind, record_id, act_id)
    return context.done(
        this, _address(kind, record_id) or url_for("history.record", kind=kind, record_id=record_id)
    )


def _act_of_state(kind: str, record_id: str, act_id: int) -> ActRecord:
    result = (c.act for c in context.reader().history(_kind(kind), record_id) if c.act.id == act_id)
    act = next(result, None)
    if act is None:
        raise NotFound(
            _("That change did not affect this record."), where=record_id, fix=_("Check its history.")
        )
    return act


def _kind(kind: str) -> type:
    if kind not in KINDS:
        raise NotFound(
            _("There is no record type “%(kind)s”.", kind=kind),
            where=kind,
            fix=_("Use a link on the history page."),
        )
    return KINDS[kind].cls


def _address(kind: str, record_id: str) -> str:
    """Return the address of a record's page; empty if its type has none."""
    return f"/{PAGES[kind]}/{record_id}" if kind in PAGES else ""
