"""Giving a text to be read, and reading it: its sentences with the names in them, and slips already taken."""

from dataclasses import dataclass, replace
from functools import lru_cache

from flask import redirect, render_template, request, url_for
from werkzeug.wrappers import Response

from app.web import context, uploads
from app.web.forms import Form
from app.web.language import gettext as _
from app.web.reading import kept
from app.web.reading.kept import ReadText
from app.web.reading.section import blueprint
from termbase.demo.loading import load
from termbase.demo.records import Demo, Report
from termbase.errors import BadInput, NotFound, Problems, WordholdError
from termbase.lookup.in_text import names_in
from termbase.overviews.texts import ReadSentence, read
from termbase.record.sources import Slip, Source
from termbase.record.validation import clean_date
from termbase.store.reading import Reader
from termbase.store.slip_lists import list_sources
from termbase.transcripts import read_transcript

__all__ = ["page_of", "sentences_of"]

FIELDS = ("source", "date", "page", "column", "place", "text")
LONGEST = 400_000
"""Characters of a text: about a hundred columns of a newspaper. Longer ones are read in parts."""


@dataclass(frozen=True)
class Shown:
    """A sentence on the page, with the slips that were taken from it before."""

    sentence: ReadSentence
    slips: tuple[Slip, ...]


@blueprint.get("")
def index() -> str:
    """The form for a text; filled with the one named in the address."""
    form = Form.of(**dict.fromkeys(FIELDS, ""))
    key = request.args.get("text", "")
    if key:
        text = kept.get(key)
        form = Form.of(source=text.source_id, date=text.date, page=text.page, column=text.column,
                       place=text.place, text=text.text)  # fmt: skip
    elif request.args.get("source"):
        form = form.with_text("source", request.args["source"])
    return _form(form)


@blueprint.post("")
def take() -> Response | tuple[str, int]:
    """Take a text, typed or from a file, and lead to its reading."""
    form = Form.posted()
    try:
        text = _taken(form)
    except BadInput as error:
        return _form(form.refused(error)), 400
    return redirect(url_for("reading.show", key=kept.keep(text)), 303)


@blueprint.post("/demo/<name>")
def take_demo(name: str) -> Response:
    """Read one of the texts that come with the invented demo.

    Raises:
        NotFound: there is no such text, or this termbase is not the demo.
    """
    report = next((r for r in _reports(context.reader()) if r.name == name), None)
    if report is None:
        raise NotFound(_("The demo has no such text."), where=name, fix=_("Choose one of those listed."))
    text = ReadText(report.text, report.source_id, report.date, report.page, report.column)
    return redirect(url_for("reading.show", key=kept.keep(text)), 303)


@blueprint.get("/<key>")
def show(key: str) -> str:
    """A text with the names that are known in it."""
    return page_of(kept.get(key))


def page_of(text: ReadText, error: WordholdError | None = None) -> str:
    """The page of a text."""
    reader = context.reader()
    found = sentences_of(reader, text)
    slips = reader.all(Slip, source_id=text.source_id)
    shown = [Shown(s, tuple(q for q in slips if _same_words(q.text, s.text))) for s in found]
    return render_template(
        "reading/text.html",
        text=text,
        source=reader.get(Source, text.source_id),
        shown=shown,
        names=sum(len(s.marks) for s in found),
        taken=sum(1 for s in shown if s.slips),
        error=error,
    )


def sentences_of(reader: Reader, text: ReadText) -> tuple[ReadSentence, ...]:
    """The sentences of a text, with names in any language of the termbase."""
    languages = reader.termbase().languages
    return read(text.text, lambda phrases: names_in(reader, phrases, languages))


def _taken(form: Form) -> ReadText:
    """The text as the form says.

    Raises:
        BadInput: there is no text or no source, it is too long, the date is none, the file is no text.
    """
    with Problems() as problems:
        text = problems.value("", _text, form)
        if context.reader().find(Source, form.line("source")) is None:
            told = _("No source has been chosen.")
            problems.add(BadInput(told, where="source", fix=_("Choose one, or add it first.")))
        date = problems.value("", clean_date, form.line("date"), "date")
    lines = {name: form.line(name) for name in ("page", "column", "place")}
    return replace(ReadText(text, form.line("source"), date), **lines)


def _text(form: Form) -> str:
    upload = uploads.file("file")
    text = form.text("text")
    if upload is not None:
        text = read_transcript(upload.read(), "file")
    if not text.strip():
        raise BadInput(_("There is no text to read."), where="text", fix=_("Paste it, or choose a file."))
    if len(text) > LONGEST:
        raise BadInput(
            _("The text has %(n)s characters.", n=len(text)),
            where="text",
            fix=_("Add it one page at a time."),
        )
    return text


@lru_cache(maxsize=1)
def _demo() -> Demo:
    return load()


def _reports(reader: Reader) -> tuple[Report, ...]:
    """The texts that come with the invented demo, where this termbase is the demo; in order of date."""
    if reader.termbase().notice != _demo().termbase.notice:
        return ()
    known = {source.id for source in reader.all(Source)}
    return tuple(sorted((r for r in _demo().reports if r.source_id in known), key=lambda r: r.date))


def _form(form: Form) -> str:
    rows = list_sources(context.reader())
    sources = [("", _("choose the source")), *((row.source.id, row.source.label) for row in rows)]
    return render_template(
        "reading/index.html", form=form, sources=sources, number=len(rows), reports=_reports(context.reader())
    )


def _same_words(quotation: str, sentence: str) -> bool:
    """Whether a slip was taken from a sentence: one holds the other, white space aside."""
    ours, theirs = " ".join(quotation.split()), " ".join(sentence.split())
    return bool(ours) and (ours in theirs or theirs in ours)
