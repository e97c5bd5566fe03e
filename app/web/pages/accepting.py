"""Accepting all clear lines of a page: a long job, and the report of what was left and why."""

from collections import OrderedDict
from dataclasses import dataclass

from flask import current_app, render_template, request, url_for
from werkzeug.wrappers import Response

from app.web import context, progress
from app.web.language import gettext as _
from app.web.language import ngettext
from app.web.pages.section import blueprint
from termbase import lookup
from termbase.acts import history
from termbase.acts.accepting import AcceptReport, accept_all_clear
from termbase.errors import NotFound
from termbase.pages import Line, Page
from termbase.sources import Source
from termbase.store import ActRecord
from termbase.store import desk as desk_lines

__all__ = ["Accepted", "take_back_as_job"]

KEPT = 20
SHOWN_OF_EACH = 300  # lines listed for each kind of reason
EXTENSION = "wordhold_accepted"


@dataclass(frozen=True)
class Accepted:
    """What one acceptance did: entries made, lines they came from, and lines left, each with the reason."""

    page_id: str
    entries: int
    lines: int
    left: tuple[tuple[str, tuple[tuple[Line, str], ...]], ...]

    @property
    def lines_left(self) -> int:
        """How many lines were left."""
        return sum(len(lines) for _, lines in self.left)


@blueprint.post("/<page_id>/accept")
def accept(page_id: str) -> Response:
    """Start the job; its page leads to the report."""
    reader = context.reader()
    page = reader.get(Page, page_id)
    label = reader.get(Source, page.source_id).label
    also_alike = bool(request.form.get("also_alike"))
    store, by = context.store(), context.current_person()
    kept: OrderedDict[int, Accepted] = current_app.extensions.setdefault(EXTENSION, OrderedDict())
    desk_url = url_for("pages.desk", page_id=page_id)
    report_of = url_for("pages.accepted", page_id=page_id, act_id=0).removesuffix("0")
    what = f"accepted all clear lines of page {page.number} of {label}"

    def work(job: progress.Job) -> progress.Finished:
        job.tell(0, 0, _("Reading the lines"))
        with store.act(by, what) as act:
            lines = desk_lines.open_lines(act, page_id)
            job.tell(0, len(lines), _("Making entries"))
            report = accept_all_clear(
                act, lines, lookup.Resembler(act), also_alike=also_alike, on_progress=job.tell
            )
            job.tell(len(lines), len(lines), _("Writing"))
            act.flush()
        made = len(lines) - len(report.left)
        kept[act.id or 0] = Accepted(page_id, len(report.made), made, _by_reason(report))
        while len(kept) > KEPT:
            kept.popitem(last=False)
        told = ngettext("%(n)s line made", "%(n)s lines made", made)
        entries = ngettext("%(n)s entry", "%(n)s entries", len(report.made))
        left = ngettext("%(n)s line was left", "%(n)s lines were left", len(report.left))
        return progress.Finished(f"{told} {entries}; {left}.", url=f"{report_of}{act.id}")

    return progress.to_job(progress.start(_("Accept all clear lines"), work, back=desk_url))


@blueprint.get("/<page_id>/accepted/<int:act_id>")
def accepted(page_id: str, act_id: int) -> str:
    """What an acceptance did; where the program was started anew since, only how the page stands now."""
    reader = context.reader()
    page = reader.get(Page, page_id)
    kept: OrderedDict[int, Accepted] = current_app.extensions.get(EXTENSION, OrderedDict())
    acts = reader.last_acts(desk_lines.RECENT)
    undone = any(a.undoes == act_id for a in acts)
    return render_template(
        "pages/accepted.html",
        page=page,
        source=reader.get(Source, page.source_id),
        report=kept.get(act_id),
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
            _("That is too long ago to be taken back here."),
            where=str(act_id),
            mend=_("Take it back from the history, or with: wordhold undo"),
        )
    return take_back_as_job(found, url_for("pages.desk", page_id=page_id))


def take_back_as_job(done: ActRecord, back: str) -> Response:
    """Take an act on thousands of lines back, as a long job that leads on to `back`."""
    store, by = context.store(), context.current_person()

    def work(job: progress.Job) -> progress.Finished:
        job.tell(0, 0, _("Taking everything back"))
        with store.act(by, f"took back: {done.what}", undoes=done.id) as act:
            history.undo(act, done.id)
            job.tell(0, 0, _("Writing"))
        return progress.Finished(_("All of it was taken back."), url=back)

    return progress.to_job(progress.start(_("Take the acceptance back"), work, back=back))


def _by_reason(
    report: AcceptReport,
) -> tuple[tuple[str, tuple[tuple[Line, str], ...]], ...]:
    """Lines left by kind of reason, the commonest first."""
    kinds: dict[str, list[tuple[Line, str]]] = {}
    for line, why in report.left:
        if line.parsed is None or line.parsed.troubles:
            kind = _("Not read cleanly")
        elif why.startswith("only a cross-reference"):
            kind = _("Only a cross-reference")
        else:
            kind = _("Resembles an entry") if line.parsed.headword else _("Without a headword")
        kinds.setdefault(kind, []).append((line, why))
    ordered = sorted(kinds.items(), key=lambda pair: -len(pair[1]))
    return tuple((kind, tuple(lines)) for kind, lines in ordered)
