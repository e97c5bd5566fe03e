"""Writes each output in its own job, with progress, a Stop button, and the file to download.

The forms and their addresses come from the table of outputs. The proof of a selection is a job too; its
result is a table to download.
"""

from collections.abc import Callable
from datetime import UTC, datetime
from pathlib import Path

from flask import url_for
from werkzeug.wrappers import Response

from app.reports import report_message
from app.selection import Order, selection_of
from app.web import context
from app.web.blueprints import publish as blueprint
from app.web.forms import Form
from app.web.language import gettext as _
from app.web.language import translated
from app.web.progress import Finished, Job, start, to_job
from app.web.publish.asking import asked_in, options_of
from app.web.publish.pages import FORMS, GLOSSARY, KIND, endpoint_of, page_of, refused_page
from exports.glossary.book.proofing import TITLES, proof_before_print
from exports.glossary.site.publishing import zip_folder
from exports.options import Choice, choice_of
from exports.outputs import OUTPUTS, Output
from exports.tables.writing import csv_lines
from exports.tbx.reports import LossReport
from termbase.errors import BadInput
from termbase.messages import message, message_of_number
from termbase.overviews.articles import Library
from termbase.record.entries import Entry
from termbase.store.engine import Store

__all__ = ["Page"]


Page = Response | tuple[str, int]


def _view(outputs: tuple[Output, ...], output: Output | None = None) -> Callable[[], Page]:
    """Return the view that receives a form and starts the job that writes the output.

    Args:
        outputs: all outputs that share the form.
        output: the output to write; None if the form says which.
    """

    def started() -> Page:
        form = Form.posted()
        try:
            wanted = output or _kind_of(outputs, form)
            order = Order.of(context.reader(), wanted, asked_in(form, options_of(outputs)))
        except BadInput as error:
            return refused_page(outputs, form, error)
        losses = url_for("publish.losses", job_id="JOB")
        work = _writing(context.store(), order, losses)
        return to_job(start(wanted.title_of(order.asked), work, url_for(f"publish.{page_of(wanted)}")))

    return started


def _kind_of(outputs: tuple[Output, ...], form: Form) -> Output:
    """Return which of the outputs of a form is requested."""
    if len(outputs) == 1:
        return outputs[0]
    kinds = [Choice(each.name) for each in outputs]
    return OUTPUTS[choice_of(kinds, form.line(KIND), KIND).value]


def _writing(store: Store, order: Order, losses: str) -> Callable[[Job], Finished]:
    """Return the work of a job that writes an output.

    Args:
        losses: the address of the loss report of a TBX file, with `JOB` for the id of the job.
    """
    output = order.output
    writing, finishing = output.stages

    def work(job: Job) -> Finished:
        day = datetime.now(UTC).date().isoformat()
        file = job.folder / output.file_name(order.asked, day)
        with store.read() as reader:
            ids = order.ids(reader)
            every = len(ids) if ids is not None else reader.count(Entry)
            progress = (0, 0)

            def tell(done: int, total: int = 0) -> None:
                nonlocal progress
                progress = done, total or (every if order.counts_entries else 0)
                job.tell(*progress, finishing if done == progress[1] else writing)

            path = job.folder / output.folder if output.folder else file
            report = order.write(Library(reader), path, day=day, ids=ids, on_progress=tell)
        if output.folder:
            zip_folder(path, file)
        job.tell(
            *progress
        )  # an output that cannot be stopped while it is written can still be discarded here
        words = report_message(output, report)
        if isinstance(report, LossReport):
            return Finished(words, url=losses.replace("JOB", job.id), file=file, detail=report)
        return Finished(words, file=file)

    return work


for _output in GLOSSARY:
    blueprint.add_url_rule(
        f"/{_output.offer.address}",
        endpoint_of(_output.offer.address),
        _view(GLOSSARY, _output),
        methods=["POST"],
    )
for _address, _outputs in FORMS.items():
    blueprint.add_url_rule(f"/{_address}", endpoint_of(_address), _view(_outputs), methods=["POST"])


@blueprint.post("/proof")
def proof() -> Page:
    """Start a job that looks for gaps and contradictions in the selection."""
    form = Form.posted()
    try:
        selection = selection_of(context.reader(), asked_in(form, options_of(GLOSSARY)))
    except BadInput as error:
        return refused_page(GLOSSARY, form, error)
    store = context.store()

    def work(job: Job) -> Finished:
        reading = message("Reading the entries")

        def tell(done: int, total: int) -> None:
            job.tell(done, total, reading)

        with store.read() as reader:
            findings = proof_before_print(Library(reader), selection, tell)
        if not findings:
            return Finished(message("Nothing is missing in the selection."))
        path = Path(job.folder) / "proof.csv"
        head = (_("Check"), _("Record"), _("Name"), _("What"), _("How to fix it"))
        rows = (
            (_(TITLES[f.check]), f.record_id, translated(f.name), translated(f.what), translated(f.fix))
            for f in findings
        )
        with path.open("w", encoding="utf-8", newline="") as file:
            file.writelines(csv_lines(head, rows))
        return Finished(message_of_number("%(n)s finding.", "%(n)s findings.", len(findings)), file=path)

    return to_job(start(message("Proof of the selection"), work, url_for("publish.index")))
