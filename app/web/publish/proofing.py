"""The proof of the selection in the glossary form, run as a job, as a table to download."""

from pathlib import Path

from flask import url_for

from app.selection import selection_of
from app.web import context
from app.web.blueprints import publish as blueprint
from app.web.forms import Form
from app.web.language import gettext as _
from app.web.language import translated
from app.web.progress import Finished, Job, start, to_job
from app.web.publish.asking import asked_in, options_of
from app.web.publish.jobs import Page
from app.web.publish.pages import GLOSSARY, refused_page
from exports.glossary.book.proofing import TITLES, proof_before_print
from exports.tables.delimited import csv_lines
from termbase.errors import BadInput
from termbase.messages import message, message_of_number
from termbase.overviews.articles import Library

__all__: list[str] = []


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
