"""Sources from programs that keep references: what a file would change, choosing of it, taking it in."""

from collections import Counter
from collections.abc import Sequence
from dataclasses import replace

from flask import render_template, url_for
from werkzeug.wrappers import Response

from app.web import context
from app.web.exchange.choosing import Seen, check_unchanged, counted, outcome_of, wanted
from app.web.exchange.section import MOST_SHOWN, blueprint, seen_through, taken_in
from app.web.exchange.shelf import AboutWorks, Brought, Preview, Shelf, shelf
from app.web.forms import Form
from app.web.progress import Finished, Job, start
from exports.citations import PlannedSource, plan_sources, read_works, take_in_sources
from termbase.codes.deeds import Deed
from termbase.errors import BadInput, Conflict, WordholdError
from termbase.incoming import State
from termbase.messages import message
from termbase.store import Reader, Store
from termbase.store.workrows import PATIENCE

__all__ = ["look"]

Answer = Response | str | tuple[str, int]


def look(brought: Brought, about: AboutWorks) -> Response:
    """Read a file of sources and work out what it would change.

    Raises:
        WordholdError: it cannot be taken in.
    """
    store, files, to = context.store(), shelf(), url_for("exchange.works", token=brought.token)

    def work(job: Job) -> Finished:
        job.tell(0, 0, message("Comparing sources"))
        _compare(store, files, brought, about)
        return Finished(message("The file was looked through; nothing is taken in yet."), url=to)

    title = message("Looking at %(name)s", name=brought.name)
    return seen_through(start(title, work, back=url_for("exchange.index")), to)


@blueprint.get("/sources/<token>")
def works(token: str) -> str:
    """What a file of sources would change, or did."""
    brought, about = shelf().get(token, AboutWorks)
    if about.outcome is not None:
        return render_template("exchange/done.html", brought=brought, outcome=about.outcome, works=True)
    return _preview(brought, about, Form.of(take="new"))


@blueprint.post("/sources/<token>")
def take_works(token: str) -> Answer:
    """Take in what was chosen, as one act."""
    (brought, about), form = shelf().get(token, AboutWorks), Form.posted()
    shown = shelf().preview(about.preview, Preview).seen
    try:
        keys = wanted(form, shown)
    except BadInput as error:
        return _preview(brought, about, form.refused(error)), 400
    store, by, files = context.store(), context.current_person(), shelf()
    to = url_for("exchange.works", token=token)

    def work(job: Job) -> Finished:
        job.tell(0, 0, message("Taking in sources"))
        finished = Finished(message("The sources were taken in."), url=to)
        try:
            with store.act(by, Deed.FILE_TAKEN_IN(file=brought.name)) as act:
                now = _planned(act, brought, about)
                seen = _seen(now)
                check_unchanged(keys, shown, seen)
                take_in_sources(act, (one for one, each in zip(now, seen, strict=True) if each.key in keys))
                act.flush()
                outcome = outcome_of(shown, keys, act.id)
                files.change(brought, AboutWorks, lambda now: replace(now, outcome=outcome), act.connection)
                job.settle(act.connection, finished)
        except Conflict:
            _compare(store, files, brought, about)
            raise
        return finished

    def refused(error: WordholdError) -> str:
        return _preview(*shelf().get(token, AboutWorks), form.refused(error))

    return taken_in(work, brought.name, to, refused)


def _compare(store: Store, files: Shelf, brought: Brought, about: AboutWorks) -> None:
    """Work out what a file would change, and keep it."""
    with store.read() as reader:
        planned = _planned(reader, brought, about)
    unread = Counter(name for one in planned for name in one.unread)
    preview = files.keep_preview(
        brought, Preview(_seen(planned), unread=tuple(unread.most_common())), about.preview
    )
    files.change(brought, AboutWorks, lambda now: replace(now, preview=preview), patience=PATIENCE)


def _planned(reader: Reader, brought: Brought, about: AboutWorks) -> tuple[PlannedSource, ...]:
    found = read_works(brought.path.read_bytes(), brought.name, about.format_name)
    return plan_sources(reader, found, brought.name)


def _seen(planned: Sequence[PlannedSource]) -> tuple[Seen, ...]:
    return tuple(
        Seen(str(number), _called(one), one.source.id, one.place, one.state, one.differences)
        for number, one in enumerate(planned, 1)
    )


def _called(one: PlannedSource) -> str:
    title = one.source.title.strip()
    return f"{one.source.label}: {title}" if title and title != one.source.label else one.source.label


def _preview(brought: Brought, about: AboutWorks, form: Form) -> str:
    preview = shelf().preview(about.preview, Preview)
    return render_template(
        "exchange/preview.html",
        form=form if "take" in form.texts else form.with_text("take", ""),
        brought=brought,
        counts=counted(preview.seen),
        kind="source",
        rows=False,
        preview=preview,
        most=MOST_SHOWN,
        columns=(),
        left_alone=(),
        here=url_for("exchange.works", token=brought.token),
        back=url_for("exchange.index"),
        states=State,
    )
