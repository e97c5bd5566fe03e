"""Accepting all clear lines of a page: a long job, and the report of what was left and why."""

from dataclasses import dataclass

from flask import render_template, request, url_for
from werkzeug.wrappers import Response

from app.web import context, progress
from app.web.blueprints import pages as blueprint
from app.web.jobs import speakers
from app.web.language import gettext as _
from app.web.workspace import workspace
from termbase.acts import history
from termbase.acts.accepting import AcceptReport, accept_all_clear
from termbase.codes.deeds import Deed
from termbase.codes.deeds import undone as taken_back
from termbase.codes.wording import statement_text
from termbase.errors import BadInput, NotFound
from termbase.messages import joined, message, message_of_number
from termbase.record.pages import Line, Page
from termbase.record.sources import Source
from termbase.search import likeness
from termbase.store import line_lists as desk_lines
from termbase.store.actrows import ActRecord
from termbase.store.plaindata import from_json, to_json
from termbase.store.reading import Reader

__all__ = ["Accepted", "take_back_as_job"]

KIND = "accepted"
SHOWN_OF_EACH = 300  # lines listed for each kind of reason


@dataclass(frozen=True)
class Accepted:
    """What one acceptance did, as it is kept: entries made, lines they came from, and ids of the lines left
    by kind of reason, each with its reason."""

    page_id: str
    entries: int
    lines: int
    left: tuple[tuple[str, tuple[tuple[str, str], ...]], ...]


@dataclass(frozen=True)
class LeftLines:
    """Lines left for one kind of reason: how many, and the first of them, each with its reason."""

    kind: str
    number: int
    shown: tuple[tuple[Line, str], ...]


@dataclass(frozen=True)
class Shown:
    """What one acceptance did, as it is shown."""

    entries: int
    lines: int
    lines_left: int
    left: tuple[LeftLines, ...]


@blueprint.post("/<page_id>/accept")
def accept(page_id: str) -> Response:
    """Start the job; its page leads to the report."""
    reader = context.reader()
    page = reader.get(Page, page_id)
    label = reader.get(Source, page.source_id).label
    also_alike = bool(request.form.get("also_alike"))
    store, by = context.store(), context.current_person()
    space = workspace()
    desk_url = url_for("pages.desk", page_id=page_id)
    report_of = url_for("pages.accepted", page_id=page_id, act_id=0).removesuffix("0")
    what = Deed.PAGE_ACCEPTED(number=page.number, label=label)

    def work(job: progress.Job) -> progress.Finished:
        job.tell(0, 0, message("Reading the lines"))
        with store.act(by, what) as act:
            lines = desk_lines.open_lines(act, page_id)
            job.tell(0, len(lines), message("Making entries"))
            report = accept_all_clear(
                act, lines, likeness.Resembler(act), also_alike=also_alike, on_progress=job.tell
            )
            job.tell(len(lines), len(lines), message("Writing"))
            act.flush()
            made = len(lines) - len(report.left)
            kept = Accepted(page_id, len(report.made), made, _by_reason(report))
            space.keep(
                KIND, str(statement_text(what)), to_json(kept, speakers()).encode(), by=by,
                file_id=_id_of(act.id or 0), connection=act.connection,
            )  # fmt: skip
            finished = progress.Finished(_told(report, made), url=f"{report_of}{act.id}")
            job.settle(act.connection, finished)
        return finished

    return progress.to_job(progress.start(message("Accept all clear lines"), work, back=desk_url))


def _told(report: AcceptReport, made: int) -> str:
    lines = message_of_number("%(n)s line became", "%(n)s lines became", made)
    entries = message_of_number("%(n)s entry", "%(n)s entries", len(report.made))
    left = message_of_number("%(n)s line was not worked", "%(n)s lines were not worked", len(report.left))
    return joined((joined((lines, entries)), joined((left, "."), "")), "; ")


@blueprint.get("/<page_id>/accepted/<int:act_id>")
def accepted(page_id: str, act_id: int) -> str:
    """What an acceptance did; after some days, only how the page stands now."""
    reader = context.reader()
    page = reader.get(Page, page_id)
    acts = reader.last_acts(desk_lines.RECENT)
    undone = any(a.undoes == act_id for a in acts)
    return render_template(
        "pages/accepted.html",
        page=page,
        source=reader.get(Source, page.source_id),
        report=_report_of(reader, act_id),
        count=desk_lines.count_of(reader, page_id),
        act_id=act_id,
        undone=undone,
        most=SHOWN_OF_EACH,
    )


@blueprint.post("/<page_id>/accepted/<int:act_id>/undo")
def take_back(page_id: str, act_id: int) -> Response:
    """Take the whole acceptance back."""
    found = next((a for a in context.reader().last_acts(desk_lines.RECENT) if a.id == act_id), None)
    if found is None:
        raise NotFound(
            _("That is too long ago to be undone here."),
            where=str(act_id),
            fix=_("Undo it from the history, or with: wordhold undo"),
        )
    return take_back_as_job(found, url_for("pages.desk", page_id=page_id))


def take_back_as_job(done: ActRecord, back: str) -> Response:
    """Take an act on thousands of lines back, as a long job that leads on to `back`."""
    store, by = context.store(), context.current_person()

    def work(job: progress.Job) -> progress.Finished:
        job.tell(0, 0, message("Undoing everything"))
        finished = progress.Finished(message("All of it was undone."), url=back)
        with store.act(by, taken_back(done.what, done.id), undoes=done.id) as act:
            history.undo(act, done.id)
            job.tell(0, 0, message("Writing"))
            job.settle(act.connection, finished)
        return finished

    return progress.to_job(progress.start(message("Withdraw the acceptance"), work, back=back))


def _id_of(act_id: int) -> str:
    return f"{KIND}-{act_id}"


def _report_of(reader: Reader, act_id: int) -> Shown | None:
    """The report of an acceptance; None where it is not kept any more."""
    space = workspace()
    try:
        path = space.content(space.find(_id_of(act_id), KIND))
        kept = from_json(Accepted, path.read_bytes())
    except (BadInput, NotFound, OSError):
        return None
    lines = reader.many(Line, (line_id for _, those in kept.left for line_id, _ in those[:SHOWN_OF_EACH]))
    left = tuple(
        LeftLines(kind, len(those), tuple((lines[i], why) for i, why in those if i in lines))
        for kind, those in kept.left
    )
    return Shown(kept.entries, kept.lines, sum(one.number for one in left), left)


def _by_reason(report: AcceptReport) -> tuple[tuple[str, tuple[tuple[str, str], ...]], ...]:
    """Ids of lines left by kind of reason, the commonest first, each with its reason."""
    kinds: dict[str, list[tuple[str, str]]] = {}
    for line, why in report.left:
        if line.parsed is None or line.parsed.troubles:
            kind = message("Not read cleanly")
        elif why.startswith("only a cross-reference"):
            kind = message("Only a cross-reference")
        else:
            kind = message("Resembles an entry") if line.parsed.headword else message("Without a headword")
        kinds.setdefault(kind, []).append((line.id, why))
    ordered = sorted(kinds.items(), key=lambda pair: -len(pair[1]))
    return tuple((kind, tuple(lines)) for kind, lines in ordered)
