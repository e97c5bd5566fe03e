"""Sources from reference managers: what a file would change, choosing and importing."""

from collections import Counter
from collections.abc import Callable, Sequence
from dataclasses import replace

from flask import url_for
from werkzeug.wrappers import Response

from app.web import context
from app.web.forms import Form
from app.web.importing.choosing import Seen, blueprint, seen_through
from app.web.importing.taking import Answer, ImportJob, preview_or_outcome, preview_page, take_chosen
from app.web.importing.uploads import AboutWorks, Preview, Upload, Uploads, uploads
from app.web.progress import Finished, Job, start
from exports.citations.formats import read_works
from exports.citations.importing import PlannedSource, import_sources, plan_sources
from termbase.messages import message
from termbase.store.engine import Store
from termbase.store.reading import Reader
from termbase.store.workrows import PATIENCE
from termbase.store.writing import Act

__all__ = ["check_upload"]


def check_upload(upload: Upload, about: AboutWorks) -> Response:
    """Read a file of sources and compute what it would change.

    Raises:
        WordholdError: it cannot be imported.
    """
    store, files, to = context.store(), uploads(), url_for("exchange.works", token=upload.token)

    def work(job: Job) -> Finished:
        job.tell(0, 0, message("Comparing sources"))
        _compare(store, files, upload, about)
        return Finished(message("The file has been checked; nothing has been imported yet."), url=to)

    title = message("Checking %(name)s", name=upload.name)
    return seen_through(start(title, work, back=url_for("exchange.index")), to)


@blueprint.get("/sources/<token>")
def works(token: str) -> str:
    """Show what a file of sources would change, or did."""
    return preview_or_outcome(*uploads().get(token, AboutWorks), _preview)


@blueprint.post("/sources/<token>")
def take_works(token: str) -> Answer:
    """Import what was chosen, as one act."""
    (upload, about), store, files = uploads().get(token, AboutWorks), context.store(), uploads()

    def planned(act: Act) -> tuple[tuple[Seen, ...], Callable[[frozenset[str]], None]]:
        now = _planned(act, upload, about)
        seen = _seen(now)

        def take(keys: frozenset[str]) -> None:
            import_sources(act, (source for source, row in zip(now, seen, strict=True) if row.key in keys))

        return seen, take

    import_job = ImportJob(
        AboutWorks,
        to=url_for("exchange.works", token=token),
        doing=message("Importing sources"),
        done=message("The sources have been imported."),
        planned=planned,
        compare=lambda: _compare(store, files, upload, about),
        page=_preview,
    )
    return take_chosen(upload, about, import_job)


def _compare(store: Store, files: Uploads, upload: Upload, about: AboutWorks) -> None:
    """Compute what a file would change, and store it."""
    with store.read() as reader:
        planned = _planned(reader, upload, about)
    unread = Counter(name for source in planned for name in source.unread)
    preview = files.keep_preview(
        upload, Preview(_seen(planned), unread=tuple(unread.most_common())), about.preview
    )
    files.change(upload, AboutWorks, lambda now: replace(now, preview=preview), patience=PATIENCE)


def _planned(reader: Reader, upload: Upload, about: AboutWorks) -> tuple[PlannedSource, ...]:
    works = read_works(upload.path.read_bytes(), upload.name, about.format_name)
    return plan_sources(reader, works, upload.name)


def _seen(planned: Sequence[PlannedSource]) -> tuple[Seen, ...]:
    return tuple(
        Seen(str(number), _title(each), each.source.id, each.place, each.state, each.differences)
        for number, each in enumerate(planned, 1)
    )


def _title(planned: PlannedSource) -> str:
    label, title = planned.source.label, planned.source.title.strip()
    return f"{label}: {title}" if title and title != label else label


def _preview(upload: Upload, about: AboutWorks, form: Form) -> str:
    return preview_page(
        upload,
        uploads().preview(about.preview, Preview),
        form,
        kind="source",
        here=url_for("exchange.works", token=upload.token),
        back=url_for("exchange.index"),
    )
