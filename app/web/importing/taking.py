"""A table or a list of sources: the preview page, and importing what was chosen on it."""

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from typing import Generic, TypeVar

from flask import render_template
from werkzeug.wrappers import Response

from app.web import context
from app.web.errors import status_of
from app.web.forms import Form
from app.web.importing.choosing import (
    MOST_SHOWN,
    Seen,
    check_unchanged,
    counted,
    outcome_of,
    seen_through,
    wanted,
)
from app.web.importing.uploads import AboutTable, AboutWorks, Preview, Upload, uploads
from app.web.progress import Finished, Job, start
from termbase.codes.deeds import Deed
from termbase.errors import BadInput, Conflict, WordholdError
from termbase.importing.records import State
from termbase.messages import message
from termbase.store.writing import Act

__all__ = ["Answer", "ImportJob", "preview_or_outcome", "preview_page", "take_chosen"]

Answer = Response | str | tuple[str, int]
About = TypeVar("About", AboutTable, AboutWorks)
Page = Callable[[Upload, About, Form], str]
"""Returns the preview page with the choices made on it."""


@dataclass(frozen=True)
class ImportJob(Generic[About]):
    """The steps of an import that differ between kinds of file.

    Attributes:
        kind: the class that describes such a file.
        to: the address of its page.
        doing: what the job shows while it runs, a message.
        done: what it shows at the end, a message.
        planned: called within the act; returns what the file would change now, and a function that
            imports the rows with the given keys.
        compare: compares the file with the record again, and stores the result.
        page: shows the stored result.
    """

    kind: type[About]
    to: str
    doing: str
    done: str
    planned: Callable[[Act], tuple[Sequence[Seen], Callable[[frozenset[str]], None]]]
    compare: Callable[[], None]
    page: "Page[About]"


def take_chosen(upload: Upload, about: About, import_job: ImportJob[About]) -> Answer:
    """Import what the posted form asks for, as one act.

    If nothing is chosen, or the record has changed in the meantime, the page shows why and keeps the
    choices.
    """
    form, files = Form.posted(), uploads()
    shown = files.preview(about.preview, Preview).seen
    try:
        keys = wanted(form, shown)
    except BadInput as error:
        return import_job.page(upload, about, form.refused(error)), 400
    store, by = context.store(), context.current_person()

    def work(job: Job) -> Finished:
        job.tell(0, 0, import_job.doing)
        finished = Finished(import_job.done, url=import_job.to)
        try:
            with store.act(by, Deed.FILE_TAKEN_IN(file=upload.name)) as act:
                seen, take = import_job.planned(act)
                check_unchanged(keys, shown, seen)
                take(keys)
                act.flush()
                outcome = outcome_of(shown, keys, act.id)
                files.change(
                    upload, import_job.kind, lambda now: replace(now, outcome=outcome), act.connection
                )
                job.settle(act.connection, finished)
        except Conflict:
            import_job.compare()
            raise
        return finished

    try:
        title = message("Importing %(name)s", name=upload.name)
        return seen_through(start(title, work, back=import_job.to), import_job.to)
    except WordholdError as error:
        now = files.get(upload.token, import_job.kind)
        return import_job.page(*now, form.refused(error)), status_of(error)


def preview_or_outcome(upload: Upload, about: About, page: "Page[About]") -> str:
    """Show what a file would change, or what it did once it is imported."""
    if about.outcome is None:
        return page(upload, about, Form.of(take="new"))
    works = isinstance(about, AboutWorks)
    return render_template("importing/done.html", upload=upload, outcome=about.outcome, works=works)


def preview_page(
    upload: Upload,
    preview: Preview,
    form: Form,
    *,
    kind: str,
    here: str,
    back: str,
    columns: Sequence[tuple[str, str]] = (),
    left_alone: Sequence[str] = (),
) -> str:
    """Return the page that shows what a file would change.

    Args:
        upload: the file.
        preview: what it would change.
        form: the choices made on the page.
        kind: `entry` or `source`: what its rows are.
        here: the address of the page.
        back: the address to go back to.
        columns: each heading of a table with its field.
        left_alone: headings of the columns that are not imported.
    """
    return render_template(
        "importing/preview.html",
        form=form if "take" in form.texts else form.with_text("take", ""),
        upload=upload,
        counts=counted(preview.seen),
        kind=kind,
        rows=kind == "entry",
        preview=preview,
        most=MOST_SHOWN,
        columns=columns,
        left_alone=left_alone,
        here=here,
        back=back,
        states=State,
    )
