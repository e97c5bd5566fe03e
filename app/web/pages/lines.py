"""The acts on the desk: each changes one line, then shows the next open line.

A form has the version of its line: if somebody else has changed the line in the meantime, nothing is
overwritten, and the desk shows the line as it is now.
"""

from collections.abc import Callable
from dataclasses import dataclass, replace

from flask import redirect, render_template, request, url_for
from werkzeug.wrappers import Response

from app.web import context, progress
from app.web.blueprints import pages as blueprint
from app.web.forms import Form
from app.web.jobs import speakers
from app.web.language import gettext as _
from app.web.pages import correcting
from app.web.pages.desk import IN_PLACE, REASONS, SHOWN, Place, place_asked, show
from app.web.workspace import workspace
from termbase.acts import history
from termbase.acts import pages as page_acts
from termbase.acts.accepting import AcceptReport, accept_all_clear
from termbase.codes.deeds import Deed, LineDeed, undone
from termbase.codes.deeds import undone as taken_back
from termbase.codes.wording import statement_text
from termbase.errors import BadInput, NotFound, WordholdError
from termbase.fields.notes import CodedText
from termbase.messages import joined, message, message_of_number
from termbase.record.entries import Entry
from termbase.record.pages import Line, Page
from termbase.record.sources import Source
from termbase.search import likeness
from termbase.store import line_lists as desk_lines
from termbase.store.plaindata import from_json, to_json
from termbase.store.reading import Reader
from termbase.store.rows import ActRecord
from termbase.store.writing import Act

__all__ = ["Accepted", "take_back_as_job"]


# Accept all clear lines of a page: a long job, and a report of the skipped lines with the reasons.

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
    """Show what an acceptance did; after some days, only the current state of the page."""
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
    """Undo the whole acceptance."""
    found = next((a for a in context.reader().last_acts(desk_lines.RECENT) if a.id == act_id), None)
    if found is None:
        raise NotFound(
            _("That is too long ago to be undone here."),
            where=str(act_id),
            fix=_("Undo it from the history, or with: wordhold undo"),
        )
    return take_back_as_job(found, url_for("pages.desk", page_id=page_id))


def take_back_as_job(done: ActRecord, back: str) -> Response:
    """Undo an act on thousands of lines, as a long job that then leads to `back`."""
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
    """The report of an acceptance; None if it is no longer stored."""
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


STAYS = ("set aside", "done")
"""Lists in which an act stays on its line, since somebody is checking finished lines."""

LONGEST_QUOTED = 40
LARGE = 1000  # changes; more are undone as a long job


@blueprint.post("/<page_id>/lines/<line_id>/make")
def make(page_id: str, line_id: str) -> Response:
    """Create the entry or entries from the line."""
    return _work(page_id, line_id, LineDeed.MADE(), lambda act: page_acts.make(act, line_id))


@blueprint.post("/<page_id>/lines/<line_id>/attach")
def attach(page_id: str, line_id: str) -> Response:
    """Attach the line to an entry."""
    typed = request.form.get("entry", "").strip()
    entry_id = typed.partition(" ")[0]  # a name that was chosen follows its id

    def do(act: Act) -> None:
        if act.find(Entry, act.current_id(entry_id)) is None:
            raise BadInput(
                _("There is no entry “%(id)s”.", id=typed),
                where="entry",
                fix=_("Type a name and choose its entry, or type an entry's id, such as c0012."),
            )
        page_acts.attach(act, line_id, entry_id)

    return _work(page_id, line_id, LineDeed.ATTACHED(id=entry_id), do)


@blueprint.post("/<page_id>/lines/<line_id>/aside")
def aside(page_id: str, line_id: str) -> Response:
    """Set the line aside, for one of the usual reasons or a typed one."""
    usual, typed = (" ".join(request.form.get(name, "").split()) for name in ("usual", "reason"))
    ours = next((reason() for _key, reason in REASONS if reason.one == usual), None)
    return _work(
        page_id,
        line_id,
        LineDeed.SET_ASIDE(reason=ours or usual or typed),
        lambda act: page_acts.set_aside(act, line_id, ours or usual or typed),
    )


@blueprint.post("/<page_id>/lines/<line_id>/reopen")
def reopen(page_id: str, line_id: str) -> Response:
    """Reopen the line; on request, remove the names that it added."""
    with_names = bool(request.form.get("with_names"))
    return _work(
        page_id,
        line_id,
        LineDeed.REOPENED_WITH_NAMES() if with_names else LineDeed.REOPENED(),
        lambda act: page_acts.reopen(act, line_id, with_names=with_names),
        then=replace(place_asked(page_id), at=_line(page_id, line_id).position),
    )


@blueprint.post("/<page_id>/lines/<line_id>/relate")
def relate(page_id: str, line_id: str) -> Response:
    """Relate the line's entry to the one that its cross-reference leads to."""
    target = request.form.get("entry", "").strip()
    return _work(
        page_id,
        line_id,
        LineDeed.RELATED(id=target),
        lambda act: page_acts.relate(act, line_id, target),
        then=place_asked(page_id),
    )


@blueprint.post("/<page_id>/lines/<line_id>/correct")
def correct(page_id: str, line_id: str) -> Response:
    """Save the editor's reading of the line; the desk stays on it, so that it can be checked first."""
    form = Form.posted()
    place = place_asked(page_id)
    line = _line(page_id, line_id)
    more = request.form.get("more", "")
    if more:
        # "again": a draft restored, with every row it had
        return show(place, correct=form if more == "again" else correcting.with_more(form, more))
    try:
        parsed = correcting.parsed_from(form, line)
        version = form.number("version")
        with context.act(_deed(page_id, line, LineDeed.CORRECTED())) as act:
            page_acts.unchanged_line(act, line_id, version)
            page_acts.correct(act, line_id, parsed)
    except WordholdError as error:
        return _corrected_otherwise(place, form, line_id, error)
    return _go_on(place)


@blueprint.post("/<page_id>/undo/<int:act_id>")
def undo(page_id: str, act_id: int) -> Response:
    """Undo the last act on this page, and go to its line."""
    place = place_asked(page_id)
    found = desk_lines.last_act_on(context.reader(), page_id, context.current_person())
    if found is None or found[0].id != act_id:
        raise NotFound(
            _("That is no longer the last change made here."),
            where=str(act_id),
            fix=_("Open the page again and check the recent changes."),
        )
    back = Place(page_id, found[1], place.show, place.holding)
    if desk_lines.size_of(context.reader(), act_id) > LARGE:
        return take_back_as_job(found[0], back.url())
    try:
        with context.act(undone(found[0].what, act_id), undoes=act_id) as act:
            history.undo(act, act_id)
    except WordholdError as error:
        return show(back, error=error, status=409)
    return _go_on(back)


def _work(
    page_id: str, line_id: str, what: CodedText, do: Callable[[Act], object], *, then: Place | None = None
) -> Response:
    """Do one act on a line and go on, by default to the next line; an error is shown at the line."""
    place = place_asked(page_id)
    line = _line(page_id, line_id)
    here = Place(page_id, line.position, place.show, place.holding)
    try:
        version = Form.posted().number("version")
        with context.act(_deed(page_id, line, what)) as act:
            page_acts.unchanged_line(act, line_id, version)
            do(act)
    except WordholdError as error:
        return show(here, error=error, status=400 if isinstance(error, BadInput) else 409)
    return _go_on(then or _next(here, line.position))


def _next(place: Place, position: int) -> Place:
    """Return the line to show after an act: the next open line, unless somebody is checking finished ones."""
    if place.show in STAYS:
        return place
    reader = context.reader()
    if place.show or place.holding:
        ahead = desk_lines.lines_from(
            reader,
            place.page_id,
            position + 1,
            1,
            states=SHOWN[place.show] or desk_lines.OPEN,
            holding=place.holding,
        )
        if ahead:
            return Place(place.page_id, ahead[0].position, place.show, place.holding)
    following = desk_lines.next_open(reader, place.page_id, position)
    return Place(place.page_id, position if following is None else following, place.show, place.holding)


def _go_on(place: Place) -> Response:
    """Send the parts to the desk's script, otherwise redirect, so that a reload does not repeat the act."""
    return show(place) if IN_PLACE in request.headers else redirect(place.url(), 303)


def _line(page_id: str, line_id: str) -> Line:
    line = context.reader().get(Line, line_id)
    if line.page_id != page_id:
        raise NotFound(_("That line is on another page."), where=line_id, fix=_("Open it from its own page."))
    return line


def _deed(page_id: str, line: Line, what: CodedText) -> CodedText:
    """Return an act on a line as the history records it."""
    reader = context.reader()
    page = reader.get(Page, page_id)
    source = reader.get(Source, page.source_id)
    text = line.parsed.headword if line.parsed and line.parsed.headword else line.text.strip()
    short = " ".join(text.split())
    if len(short) > LONGEST_QUOTED:
        short = short[:LONGEST_QUOTED].rstrip() + "…"
    return Deed.LINE_WORKED(
        text=short, source=source.label, page=page.number, line=str(line.first), line_deed=what
    )


def _corrected_otherwise(place: Place, form: Form, line_id: str, error: WordholdError) -> Response:
    """Show the form again with its errors; after a conflict, also the current values of the line."""
    if isinstance(error, BadInput):
        return show(place, correct=form.refused(error), status=400)
    now = correcting.form_of(context.reader().get(Line, line_id))
    return show(place, correct=form.against(now, error), status=409)
