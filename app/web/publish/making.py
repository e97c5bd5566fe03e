"""Making what goes out: each file by a job of its own, with a bar, a stop, and the file to fetch."""

from collections.abc import Callable
from dataclasses import replace
from datetime import UTC, datetime

from flask import render_template, url_for
from werkzeug.wrappers import Response

from app.catalogues import LANGUAGES
from app.narrowed import narrowed
from app.web import context, findings
from app.web.forms import Form
from app.web.language import gettext as _
from app.web.progress import Finished, Job, State, jobs, start, to_job
from app.web.publish.choices import PdfChoice, TbxChoice, first_form, narrowing, pdf_choice, tbx_choice
from app.web.publish.section import blueprint
from exports.glossary.print.choices import Paper
from exports.glossary.print.publishing import PrintReport, publish_pdf
from exports.tbx.loss import LossReport
from exports.tbx.markup import DIALECTS
from exports.tbx.writer import write_tbx
from termbase.articles import Library
from termbase.entries import Entry, Topic
from termbase.errors import BadInput, NotFound
from termbase.judging import VERDICT_WORDS
from termbase.messages import joined, message, message_of_number
from termbase.proofing import CHECKS
from termbase.rulecodes import RuleCode
from termbase.store import Reader, Store
from termbase.store.listing import EntryFilter, all_ids, count_entries

__all__ = ["code_ids", "drafts_words", "entries_words", "glossary_choice", "refused"]

PAPERS: dict[Paper, str] = {"a5": "A5", "a4": "A4"}
SHOWN = 6
"""Checks told in the summary; the rest stand in Proof."""


@blueprint.get("")
def index() -> str:
    """What can be published, what is missing first, and what was made last."""
    return _page(first_form(code_ids(context.reader())))


@blueprint.post("/pdf")
def pdf() -> Response | tuple[str, int]:
    """Print the glossary."""
    form = Form.posted()
    try:
        choice = glossary_choice(form)
    except BadInput as error:
        return refused(form, error)
    title = message("Glossary, %(paper)s", paper=PAPERS[choice.paper])
    return to_job(start(title, _printing(context.store(), choice), url_for("publish.index")))


@blueprint.post("/tbx")
def tbx() -> Response | tuple[str, int]:
    """Write a TBX file."""
    form = Form.posted()
    try:
        choice = tbx_choice(form)
    except BadInput as error:
        return refused(form, error)
    told = url_for("publish.losses", job_id="JOB")
    title = DIALECTS[choice.dialect].title
    return to_job(start(title, _exporting(context.store(), choice, told), url_for("publish.index")))


@blueprint.get("/losses/<job_id>")
def losses(job_id: str) -> str:
    """What a TBX file kept and what it could not carry."""
    job = jobs().get(job_id)
    report = job.detail(LossReport)
    if report is None:
        raise NotFound(_("There is no report of this file."), where=job_id, mend=_("Write the file again."))
    return render_template("publish/losses.html", job=job, report=report)


def _page(form: Form) -> str:
    reader = context.reader()
    checked, fresh = findings.known()
    return render_template(
        "publish/index.html",
        form=form,
        codes=[(code.id, code.name) for code in reader.all(RuleCode)],
        dialects=[(dialect.name, dialect.title) for dialect in DIALECTS.values()],
        papers=list(PAPERS.items()),
        entries=reader.count(Entry),
        ready=count_entries(reader, EntryFilter(stage="ready")),
        missing=_missing(checked),
        proofed=_proofed(checked),
        languages=list(LANGUAGES.items()),
        topics=[("", _("any topic")), *((topic.value, _(topic.value)) for topic in Topic)],
        verdicts=[("", _("any verdict")), *((word, _(word)) for word in VERDICT_WORDS)],
        checked=checked,
        fresh=fresh,
        made=jobs().newest(url_for("publish.index")),
        finished=State.FINISHED,
    )


def _missing(checked: findings.Checked | None) -> list[tuple[str, str, int]]:
    """The checks with most findings: code, what they look for, how many."""
    if checked is None:
        return []
    numbers = checked.by_check
    told = [(check.code, check.title, numbers[check.code]) for check in CHECKS if numbers[check.code]]
    return sorted(told, key=lambda one: -one[2])[:SHOWN]


def _proofed(checked: findings.Checked | None) -> tuple[int, int]:
    """How many findings there are in all, and how many if drafts are left out."""
    if checked is None or not checked.findings:
        return 0, 0
    every, of_entries = len(checked.findings), checked.by_entry
    ready = context.known("ready entries", lambda reader: tuple(_ready(reader)))
    return every, every - of_entries.total() + sum(of_entries[entry_id] for entry_id in ready)


def refused(form: Form, error: BadInput) -> tuple[str, int]:
    """The page with what was typed and the error beside its field, and the status for it."""
    return _page(_refused(form, error)), 400


def _refused(form: Form, error: BadInput) -> Form:
    """The forms with what was chosen in one of them, and the other as at first."""
    first = first_form(code_ids(context.reader()))
    ticked: tuple[str, ...] = ()
    if "paper" in form.texts:  # boxes that were left empty are not sent
        ticked = ("code", "direction", "figures", "pictures", "quotations", "mark_missing")
    return Form({**first.texts, **dict.fromkeys(ticked, ()), **form.texts}).refused(error)


def glossary_choice(form: Form) -> PdfChoice:
    """The glossary that the form asks for, narrowed as it asks.

    Raises:
        BadInput: an option is none of those there are.
    """
    reader = context.reader()
    known = code_ids(reader)
    choice = pdf_choice(form, known)
    return replace(choice, selection=narrowed(reader, choice.selection, narrowing(form, known)))


def code_ids(reader: Reader) -> tuple[str, ...]:
    """Ids of the rule codes there are."""
    return tuple(code.id for code in reader.all(RuleCode))


def _printing(store: Store, choice: PdfChoice) -> Callable[[Job], Finished]:
    reading, setting = message("Reading the entries"), message("Setting the pages")

    def work(job: Job) -> Finished:
        path = job.folder / f"glossary-{choice.paper}.pdf"

        def tell(done: int, total: int) -> None:
            job.tell(done, total, setting if done == total else reading)

        with store.read() as reader:
            report = publish_pdf(
                Library(reader),
                path,
                as_of=datetime.now(UTC).date().isoformat(),
                paper=choice.paper,
                selection=choice.selection,
                on_progress=tell,
            )
        job.tell(report.entries, report.entries)  # typesetting cannot be stopped; its outcome can be let go
        return Finished(_printed(report), file=path)

    return work


def _exporting(store: Store, choice: TbxChoice, told: str) -> Callable[[Job], Finished]:
    writing, checking = message("Writing the entries"), message("Checking the file")

    def work(job: Job) -> Finished:
        path = job.folder / f"{choice.dialect}.tbx"
        with store.read() as reader:
            ids = _ready(reader) if choice.entries == "ready" else None
            total = len(ids) if ids is not None else reader.count(Entry)

            def tell(done: int) -> None:
                job.tell(done, total, checking if done == total else writing)

            report = write_tbx(Library(reader), path, dialect=choice.dialect, ids=ids, on_progress=tell)
        job.tell(total, total)
        return Finished(_written(report), url=told.replace("JOB", job.id), file=path, detail=report)

    return work


def _printed(report: PrintReport) -> str:
    pages = message_of_number("on %(n)s page.", "on %(n)s pages.", report.pages)
    words = joined((entries_words(report.entries, report.drafts), pages), ", ")
    if report.missing:
        shown = " ".join(f"U+{ord(m.character):04X}" for m in report.missing)
        missing = message("No face has these characters, which stand as code points: %(shown)s.", shown=shown)
        words = joined((words, missing))
    return words


def entries_words(number: int, drafts: int) -> str:
    """How many entries there are, and how many of them are marked as drafts."""
    entries = message_of_number("%(n)s entry", "%(n)s entries", number)
    return joined((entries, drafts_words(drafts)), "")


def drafts_words(number: int) -> str:
    """How many are marked as drafts, to follow how many there are; empty for none."""
    if not number:
        return ""
    drafts = message_of_number("%(n)s of them marked as draft", "%(n)s of them marked as drafts", number)
    return joined((", ", drafts), "")


def _written(report: LossReport) -> str:
    entries = message_of_number("%(n)s entry", "%(n)s entries", report.entries)
    names = message_of_number("%(n)s name", "%(n)s names", report.terms)
    checked = message("The file was checked against the standard's schema and keeps it.")
    return joined((joined((entries, names), ", "), checked), ". ")


def _ready(reader: Reader) -> list[str]:
    ids = all_ids(reader, EntryFilter(stage="ready"), reader.termbase().working_language)
    return sorted(ids, key=lambda i: (len(i), i))
