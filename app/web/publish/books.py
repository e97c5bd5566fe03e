"""The glossary in its other forms - cards, web site, e-book - and the proof of what is chosen, each by a job.

They share the form of the printed glossary: its buttons lead here.
"""

from collections.abc import Callable
from datetime import UTC, datetime
from pathlib import Path

from flask import url_for
from werkzeug.wrappers import Response

from app.web import context
from app.web.forms import Form
from app.web.language import gettext as _
from app.web.language import said
from app.web.progress import Finished, Job, start, to_job
from app.web.publish.making import drafts_words, entries_words, glossary_choice, refused
from app.web.publish.section import blueprint
from exports.glossary.cards.publishing import publish_cards
from exports.glossary.epub.publishing import publish_epub
from exports.glossary.print.choices import Selection
from exports.glossary.proofing import TITLES, proof_before_print
from exports.glossary.site.packing import pack
from exports.glossary.site.publishing import publish_site
from exports.tables.delimited import csv_lines
from termbase.articles import Library
from termbase.errors import BadInput
from termbase.messages import joined, message, message_of_number

__all__: list[str] = []

Page = Response | tuple[str, int]
Making = Callable[[Library, Selection, Job, str], Finished]
"""Makes something of what is chosen, in the job's folder, on a day."""


@blueprint.post("/cards")
def cards() -> Page:
    """Print cards for training."""
    return _start(message("Cards for training"), _cards)


@blueprint.post("/site")
def site() -> Page:
    """Write the web site, as one file to unpack."""
    return _start(message("Web site"), _site)


@blueprint.post("/epub")
def epub() -> Page:
    """Write the e-book."""
    return _start(message("E-book (EPUB)"), _epub)


@blueprint.post("/proof")
def proof() -> Page:
    """Look for what is missing or contradictory in what is chosen."""
    return _start(message("Proof of what is chosen"), _proof)


def _start(title: str, make: Making) -> Page:
    form = Form.posted()
    try:
        selection = glossary_choice(form).selection
    except BadInput as error:
        return refused(form, error)
    store = context.store()

    def work(job: Job) -> Finished:
        with store.read() as reader:
            return make(Library(reader), selection, job, datetime.now(UTC).date().isoformat())

    return to_job(start(title, work, url_for("publish.index")))


def _cards(library: Library, selection: Selection, job: Job, today: str) -> Finished:
    path = job.folder / "cards.pdf"
    report = publish_cards(library, path, as_of=today, selection=selection, on_progress=_telling(job))
    cards = message_of_number("%(n)s card", "%(n)s cards", report.cards)
    sheets = message_of_number("on %(n)s sheet.", "on %(n)s sheets.", report.pages // 2)
    words = joined((joined((cards, drafts_words(report.drafts)), ""), sheets), ", ")
    how = message("Print on both sides, turned on the long edge.")
    return Finished(joined((words, how)), file=path)


def _site(library: Library, selection: Selection, job: Job, today: str) -> Finished:
    folder = job.folder / "glossary"
    report = publish_site(library, folder, as_of=today, selection=selection, on_progress=_telling(job))
    path = job.folder / "glossary-site.zip"
    pack(folder, path)
    how = message("Unpack it and open index.html; it needs no server.")
    return Finished(joined((entries_words(report.entries, report.drafts), how), ". "), file=path)


def _epub(library: Library, selection: Selection, job: Job, today: str) -> Finished:
    path = job.folder / "glossary.epub"
    report = publish_epub(library, path, as_of=today, selection=selection, on_progress=_telling(job))
    return Finished(joined((entries_words(report.entries, report.drafts), "."), ""), file=path)


def _proof(library: Library, selection: Selection, job: Job, today: str) -> Finished:
    findings = proof_before_print(library, selection, _telling(job))
    if not findings:
        return Finished(message("Nothing is missing in what is chosen."))
    path = Path(job.folder) / "proof.csv"
    head = (_("Check"), _("Record"), _("Name"), _("What"), _("How to mend it"))
    rows = ((_(TITLES[f.check]), f.record_id, said(f.name), said(f.what), said(f.mend)) for f in findings)
    with path.open("w", encoding="utf-8", newline="") as file:
        file.writelines(csv_lines(head, rows))
    return Finished(message_of_number("%(n)s finding.", "%(n)s findings.", len(findings)), file=path)


def _telling(job: Job) -> Callable[[int, int], None]:
    reading = message("Reading the entries")
    return lambda done, total: job.tell(done, total, reading)
