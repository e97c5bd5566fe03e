"""Sources from programs that keep references: what a file would change, choosing of it, taking it in."""

from collections import Counter
from collections.abc import Sequence

from flask import render_template, url_for
from werkzeug.wrappers import Response

from app.web import context
from app.web.exchange.choosing import Seen, check_unchanged, counted, outcome_of, wanted
from app.web.exchange.section import MOST_SHOWN, blueprint, seen_through, taken_in
from app.web.exchange.shelf import BroughtWorks, shelf
from app.web.forms import Form
from app.web.language import gettext as _
from app.web.progress import Finished, Job, start
from exports.citations import PlannedSource, plan_sources, read_works, take_in_sources
from termbase.errors import BadInput, Conflict, NotFound
from termbase.incoming import State
from termbase.store import Reader, Store

__all__ = ["look"]

Answer = Response | str | tuple[str, int]


def look(token: str, brought: BroughtWorks) -> Response:
    """Read a file of sources and work out what it would change.

    Raises:
        WordholdError: it cannot be taken in.
    """
    store, to = context.store(), url_for("exchange.works", token=token)

    def work(job: Job) -> Finished:
        job.tell(0, 0, _("Comparing sources"))
        with store.read() as reader:
            brought.planned = _planned(reader, brought)
        return Finished(_("The file was looked through; nothing is taken in yet."), url=to)

    job = start(_("Looking at %(name)s", name=brought.name), work, back=url_for("exchange.index"))
    return seen_through(job, to)


@blueprint.get("/sources/<token>")
def works(token: str) -> str:
    """What a file of sources would change, or did."""
    brought = shelf().get(token, BroughtWorks)
    if brought.outcome is not None:
        return render_template("exchange/done.html", brought=brought, outcome=brought.outcome)
    return _preview(token, brought, Form.of(take="new"))


@blueprint.post("/sources/<token>")
def take_works(token: str) -> Answer:
    """Take in what was chosen, as one act."""
    brought, form = shelf().get(token, BroughtWorks), Form.posted()
    try:
        keys = wanted(form, _seen(_plan_of(brought)))
    except BadInput as error:
        return _preview(token, brought, form.refused(error)), 400
    store, by = context.store(), context.current_person()
    to = url_for("exchange.works", token=token)

    def work(job: Job) -> Finished:
        job.tell(0, 0, _("Taking in sources"))
        _take(store, by, brought, keys)
        return Finished(_("The sources were taken in."), url=to)

    return taken_in(work, brought.name, to, lambda error: _preview(token, brought, form.refused(error)))


def _take(store: Store, by: str, brought: BroughtWorks, keys: frozenset[str]) -> None:
    shown = _seen(_plan_of(brought))
    try:
        with store.act(by, f"took in {brought.name}") as act:
            now = _planned(act, brought)
            check_unchanged(keys, shown, _seen(now))
            take_in_sources(act, (one for one, each in zip(now, _seen(now), strict=True) if each.key in keys))
    except Conflict:
        with store.read() as reader:
            brought.planned = _planned(reader, brought)
        raise
    brought.outcome = outcome_of(shown, keys, act.id)


def _planned(reader: Reader, brought: BroughtWorks) -> tuple[PlannedSource, ...]:
    found = read_works(brought.path.read_bytes(), brought.name, brought.format_name)
    return plan_sources(reader, found, brought.name)


def _plan_of(brought: BroughtWorks) -> tuple[PlannedSource, ...]:
    if brought.planned is None:
        raise NotFound(_("This file was not looked through."), where=brought.name, mend=_("Bring it again."))
    return brought.planned


def _seen(planned: Sequence[PlannedSource]) -> tuple[Seen, ...]:
    return tuple(
        Seen(str(number), _called(one), one.source.id, one.place, one.state, one.differences)
        for number, one in enumerate(planned, 1)
    )


def _called(one: PlannedSource) -> str:
    title = one.source.title.strip()
    return f"{one.source.label}: {title}" if title and title != one.source.label else one.source.label


def _preview(token: str, brought: BroughtWorks, form: Form) -> str:
    planned = _plan_of(brought)
    seen = _seen(planned)
    return render_template(
        "exchange/preview.html",
        form=form if "take" in form.texts else form.with_text("take", ""),
        brought=brought,
        counts=counted(seen),
        kind="source",
        rows=False,
        seen=seen,
        most=MOST_SHOWN,
        columns=(),
        left_alone=(),
        unread=Counter(name for one in planned for name in one.unread).most_common(),
        here=url_for("exchange.works", token=token),
        back=url_for("exchange.index"),
        states=State,
    )
