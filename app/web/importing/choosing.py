"""What a file would change, one row per entry or source, and which rows somebody chose to import.

Also the blueprint of the import pages, and the redirect after a short job.
"""

from collections.abc import Collection, Iterable, Mapping, Sequence
from dataclasses import dataclass

from flask import Blueprint, redirect
from werkzeug.wrappers import Response

from app.web.forms import Form
from app.web.language import gettext as _
from app.web.progress import Job, to_job
from termbase.errors import BadInput, Conflict
from termbase.importing.records import State
from termbase.messages import message
from termbase.record.differences import Difference

__all__ = [
    "MOST_SHOWN",
    "WAYS",
    "Outcome",
    "Seen",
    "blueprint",
    "check_unchanged",
    "counted",
    "outcome_of",
    "seen_through",
    "wanted",
    "way_chosen",
]


WAYS = ("new", "all", "ticked")
"""What can be imported: only new records; also changed ones; only ticked ones."""


@dataclass(frozen=True)
class Seen:
    """One entry or source of a file.

    Attributes:
        key: the value of its checkbox, unique within the file.
        name: its name.
        id: its id here; empty for a new one.
        place: where it is in the file.
        state: new, same or changed, compared with the record here.
        differences: the fields that differ, as they are now and as they would become.
    """

    key: str
    name: str
    id: str
    place: str
    state: State
    differences: tuple[Difference, ...]


@dataclass(frozen=True)
class Outcome:
    """What was imported: how many were new, changed, unchanged or skipped, and by which act."""

    new: int
    changed: int
    same: int
    left: int
    act_id: int | None


def way_chosen(form: Form, ways: Collection[str] = WAYS) -> tuple[str, frozenset[str]]:
    """Return what a form asks to import: an option, and the keys of what is ticked.

    Raises:
        BadInput: nothing is chosen.
    """
    way, ticked = form.text("take"), frozenset(form.all("entry"))
    if way not in ways:
        raise BadInput(_("Choose what to import."), where="take", fix=_("Choose one of the options shown."))
    if way == "ticked" and not ticked:
        raise BadInput(
            _("No entries are ticked."), where="take", fix=_("Tick some, or choose another option.")
        )
    return way, ticked


def wanted(form: Form, seen: Iterable[Seen]) -> frozenset[str]:
    """Return the keys of what a form asks to import.

    Raises:
        BadInput: nothing is chosen, or the choice leaves nothing to import.
    """
    way, ticked = way_chosen(form)
    keys = frozenset(
        row.key
        for row in seen
        if row.state is not State.SAME
        and (row.key in ticked if way == "ticked" else way == "all" or row.state is State.NEW)
    )
    if not keys:
        raise BadInput(
            _("That choice leaves nothing to import."),
            where="take",
            fix=_("Choose another option, or cancel."),
        )
    return keys


def check_unchanged(keys: frozenset[str], before: Iterable[Seen], now: Iterable[Seen]) -> None:
    """Check that what was chosen is still what was shown.

    Raises:
        Conflict: the record has changed in the meantime, so something chosen would now make a different
            change.
    """
    shown = {row.key: row for row in before}
    for row in now:
        if row.key in keys and row != shown.get(row.key):
            raise Conflict(
                message("“%(name)s” was changed in the meantime; nothing was imported.", name=row.name),
                where=row.place,
                fix=message("Check what would change now, and choose again."),
            )


def counted(seen: Sequence[Seen]) -> Mapping[State, int]:
    """Return how many are in each state."""
    return {state: sum(1 for row in seen if row.state is state) for state in State}


def outcome_of(seen: Sequence[Seen], keys: frozenset[str], act_id: int | None) -> Outcome:
    """Return the outcome for a file from which these were imported."""
    taken = counted([row for row in seen if row.key in keys])
    every = counted(seen)
    left = every[State.NEW] + every[State.CHANGED] - len(keys)
    return Outcome(taken[State.NEW], taken[State.CHANGED], every[State.SAME], left, act_id)


blueprint = Blueprint("exchange", __name__, url_prefix="/exchange")

MOST_SHOWN = 500
"""Maximum entries or sources in a preview, each with a checkbox; the rest are imported by state."""

PATIENCE = 2.0
"""Seconds to wait before showing a job's page: most files are checked by then."""


def seen_through(job: Job, to: str) -> Response:
    """Redirect to a page if a job ends soon, otherwise to the job's page.

    Raises:
        WordholdError: the job failed.
    """
    job.wait(PATIENCE)
    error = job.error
    if error is not None:
        raise error
    return redirect(to, 303) if job.result is not None else to_job(job)
