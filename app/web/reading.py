"""Reading a text of the period: its sentences, the names in them, and taking slips from them."""

from dataclasses import dataclass, replace
from functools import lru_cache
from hashlib import sha256

from flask import redirect, render_template, request, url_for
from werkzeug.wrappers import Response

from app.web import context, uploads
from app.web.addresses import whole_number
from app.web.blueprints import reading as blueprint
from app.web.forms import Form
from app.web.language import gettext as _
from app.web.workspace import workspace
from termbase.acts.sources import save_slip
from termbase.codes.deeds import Deed
from termbase.demo.loading import load
from termbase.demo.rows import Demo, Report
from termbase.errors import BadInput, NotFound, Problems, WordholdError
from termbase.evidence.witnesses import may_lack_name
from termbase.fields.notes import CodedText
from termbase.messages import message
from termbase.overviews.texts import Mark, ReadSentence, names_in, read
from termbase.record.entries import Entry
from termbase.record.sources import Certainty, Presence, Slip, Source
from termbase.record.validation import clean_date
from termbase.search.hits import Hit, How
from termbase.store.plaindata import from_json, to_json
from termbase.store.reading import Reader
from termbase.store.slip_lists import list_sources
from termbase.transcripts import read_transcript

__all__ = ["ReadText", "get", "keep", "page_of", "sentences_of"]


# Texts being read are stored for some weeks, so that a page can be loaded again.
#
# A text itself is not part of the record; the slips taken from it are.

KIND = "text"
LONGEST_NAME = 60


@dataclass(frozen=True)
class ReadText:
    """A text as submitted, and where it is from: source, date (EDTF), page, column, place."""

    text: str
    source_id: str
    date: str = ""
    page: str = ""
    column: str = ""
    place: str = ""

    @property
    def key(self) -> str:
        """The key it is stored under; the same text from the same place has the same key."""
        whole = "\0".join((self.source_id, self.date, self.page, self.column, self.place, self.text))
        return sha256(whole.encode()).hexdigest()[:12]


def keep(text: ReadText) -> str:
    """Store a text; return its key.

    Raises:
        BadInput, Unavailable, StorageFull: it cannot be stored.
    """
    name = " ".join(text.text.split())[:LONGEST_NAME]
    content = to_json(text).encode()
    workspace().keep(KIND, name, content, by=context.current_person(), file_id=text.key)
    return text.key


def get(key: str) -> ReadText:
    """Return the text with this key; its lifetime starts again.

    Raises:
        NotFound: it is no longer stored, or never was.
    """
    space = workspace()
    if space.rows.file(key) is None:
        raise NotFound(
            message("This text is no longer kept."),
            where=key,
            fix=message("Paste it again; the slips taken from it are kept."),
        )
    row = space.find(key, KIND)
    found = from_json(ReadText, space.content(row).read_bytes())
    space.renew(row)
    return found


FIELDS = ("source", "date", "page", "column", "place", "text")
LONGEST = 400_000
"""Maximum characters of a text: about a hundred newspaper columns. Longer ones are read in parts."""


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
        text = get(key)
        form = Form.of(source=text.source_id, date=text.date, page=text.page, column=text.column,
                       place=text.place, text=text.text)  # fmt: skip
    elif request.args.get("source"):
        form = form.with_text("source", request.args["source"])
    return _form(form)


@blueprint.post("")
def take() -> Response | tuple[str, int]:
    """Store a text, typed or from a file, and redirect to its page."""
    form = Form.posted()
    try:
        text = _taken(form)
    except BadInput as error:
        return _form(form.refused(error)), 400
    return redirect(url_for("reading.show", key=keep(text)), 303)


@blueprint.post("/demo/<name>")
def take_demo(name: str) -> Response:
    """Read one of the texts that come with the invented demo.

    Raises:
        NotFound: the text does not exist, or this termbase is not the demo.
    """
    report = next((r for r in _reports(context.reader()) if r.name == name), None)
    if report is None:
        raise NotFound(_("The demo has no such text."), where=name, fix=_("Choose one of those listed."))
    text = ReadText(report.text, report.source_id, report.date, report.page, report.column)
    return redirect(url_for("reading.show", key=keep(text)), 303)


@blueprint.get("/<key>")
def show(key: str) -> str:
    """A text with the names that are known in it."""
    return page_of(get(key))


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
    """Return the text from the form.

    Raises:
        BadInput: there is no text or no source, it is too long, the date is invalid, or the file is not text.
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
    """Whether a slip was taken from a sentence: one contains the other, ignoring white space."""
    ours, theirs = " ".join(quotation.split()), " ".join(sentence.split())
    return bool(ours) and (ours in theirs or theirs in ours)


@blueprint.post("/<key>/slips")
def take_slip(key: str) -> Response | tuple[str, int]:
    """Take a slip: the sentence word for word, the name as it is printed in it.

    The value of the button selects it: `3` is the fourth sentence without a name, `3.1.0` the first meaning
    of the second name marked in it. Without a name, the text selected in the sentence is sent as `name`.
    """
    text = get(key)
    try:
        slip = _slip(text)
        with context.act(_deed(text, slip)) as act:
            if _is_there(act.all(Slip, source_id=slip.source_id), slip):
                raise BadInput(
                    _("This slip has already been taken."), fix=_("It is listed beside the sentence.")
                )
            save_slip(act, slip)
    except BadInput as error:
        return page_of(text, error), 400
    sentence = request.form.get("take", "").partition(".")[0]
    return context.done(act, url_for("reading.show", key=key, _anchor=f"n{sentence}"))


def _slip(text: ReadText) -> Slip:
    reader = context.reader()
    sentence, mark, hit = _asked(sentences_of(reader, text))
    selected = " ".join(request.form.get("name", "").split())
    if mark is None and selected and selected not in " ".join(sentence.text.split()):
        raise BadInput(
            _("“%(name)s” is not in that sentence.", name=selected),
            fix=_("Select the name within the sentence."),
        )
    doubtful = hit is not None and hit.how is How.NEAR
    slip = Slip(
        id="",
        source_id=text.source_id,
        text=sentence.text,
        name=" ".join(mark.text.split()) if mark else selected,
        page=text.page,
        column=text.column,
        date=text.date,
        place=text.place,
        certainty=Certainty.PROBABLE if doubtful else Certainty.SECURE,
        term_id=hit.term_id if hit else "",
    )
    if hit is None:
        return slip
    term = next(t for t in reader.get(Entry, hit.entry_id).terms if t.id == hit.term_id)
    # the reader chose this name for what is marked, so a form that is not recognised is a misprint of it
    return replace(slip, presence=Presence.MISPRINT) if may_lack_name(slip, term) else slip


def _asked(sentences: tuple[ReadSentence, ...]) -> tuple[ReadSentence, Mark | None, Hit | None]:
    """The sentence that the button names, and the name marked in it.

    Raises:
        BadInput: it does not exist.
    """
    parts = request.form.get("take", "").split(".")
    try:
        numbers = [number for part in parts if (number := whole_number(part)) is not None]
        if len(numbers) != len(parts):
            raise IndexError
        sentence = sentences[numbers[0]]
        if len(numbers) == 1:
            return sentence, None, None
        mark = sentence.marks[numbers[1]]
        return sentence, mark, mark.hits[numbers[2]]
    except IndexError:
        raise BadInput(
            _("That place is not in the text."), fix=_("Use a button beside one of its sentences.")
        ) from None


def _is_there(slips: tuple[Slip, ...], slip: Slip) -> bool:
    same = (slip.text, slip.name, slip.date or "", slip.term_id)
    return any((q.text, q.name, q.date or "", q.term_id) == same for q in slips)


def _deed(text: ReadText, slip: Slip) -> CodedText:
    label = context.reader().get(Source, text.source_id).label
    return Deed.SLIP_OF_NAME_TAKEN(label=label, name=slip.name) if slip.name else Deed.SLIP_TAKEN(label=label)
