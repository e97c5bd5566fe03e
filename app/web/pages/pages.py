"""Word-list pages: the list with the progress of each, adding a page, and changing its number or picture.

A rejected form keeps what was typed: the text of an uploaded file is put in the text field, and a readable
picture is stored at once, so that neither has to be chosen again.
"""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import cast

from flask import redirect, render_template, request, url_for
from werkzeug.datastructures import FileStorage
from werkzeug.wrappers import Response

from app.web import context, uploads
from app.web.addresses import whole_number
from app.web.blueprints import pages as blueprint
from app.web.forms import Form, error_text
from app.web.importing.tables import tag_words
from app.web.language import gettext as _
from termbase.acts import pages as page_acts
from termbase.acts.drafting import with_languages
from termbase.acts.sources import save_source
from termbase.codes.deeds import Deed
from termbase.errors import BadInput, ReportedAt, WordholdError
from termbase.media.pictures import read_picture
from termbase.record.pages import Page, PageCount, page_order
from termbase.record.people import Image
from termbase.record.sources import Source, SourceKind
from termbase.store.writing import Act
from termbase.transcripts import Encoding, read_transcript
from termbase.wordlists.pattern_files import write_pattern
from termbase.wordlists.patterns import LinePattern
from termbase.wordlists.stock import STOCK
from termbase.wordlists.suggesting import Suggestion, suggest
from termbase.wordlists.wording import match_count

__all__ = ["WordList", "index"]


ENCODINGS = ("utf-8", "windows-1252")
_FIELDS = (
    "text",
    "image",
    "file",
    "stock",
    "source",
    "label",
    "number",
    "headword_language",
    "equivalent_language",
)
AT = {"page": "number", "transcription": "text", "line pattern": "stock"}
"""Fields of the form, by their names in errors."""


@blueprint.get("/new")
def add() -> str:
    """The form for a new page; `source` chooses its word-list."""
    termbase = context.termbase()
    only = termbase.vernaculars[0] if len(termbase.vernaculars) == 1 else ""
    return _form(
        Form.of(
            source=request.args.get("source", ""),
            encoding=ENCODINGS[0],
            pdf_page="1",
            headword_language=termbase.working_language,
            equivalent_language=only,
        )
    )


@blueprint.post("/new")
def save() -> Response | tuple[str, int]:
    """Enter the page, or rank the starting patterns on its text."""
    form = Form.posted()
    form, errors = _taken_files(form)
    if errors:
        for error in errors:
            form = form.refused(error, AT)
        return _form(form), 400
    if form.text("do") == "suggest":
        return _form(form), 200
    try:
        entered, fits = _enter(form)
    except WordholdError as error:
        return _form(form.refused(error, AT)), 400
    if not fits:
        return redirect(url_for("pages.pattern", source_id=entered.source_id, page=entered.id), 303)
    return redirect(url_for("pages.desk", page_id=entered.id), 303)


@blueprint.post("/suggest")
def suggestions() -> str:
    """Return the starting patterns ranked on a text, while it is pasted into the form."""
    form = Form.posted()
    return render_template(
        "pages/suggestions.html",
        form=form,
        tried=_tried(_ranked(form)),
        stock=STOCK,
        languages=_languages(form),
    )


@blueprint.get("/<page_id>/edit")
def edit(page_id: str) -> str:
    """The form for a page's number and picture."""
    page = context.reader().get(Page, page_id)
    return _edit_form(page, Form.of(number=page.number, pdf_page="1", version=page.version))


@blueprint.post("/<page_id>/edit")
def change(page_id: str) -> Response | tuple[str, int]:
    """Change a page's number or picture."""
    form = Form.posted()
    page = context.reader().get(Page, page_id)
    try:
        picture = _picture(form)
        source = context.reader().get(Source, page.source_id)
        with context.act(Deed.PAGE_CHANGED(number=page.number, label=source.label)) as act:
            if picture:
                act.add_image(picture)
            image_id = picture.id if picture else "" if form.text("no_picture") else page.image_id
            page_acts.change_page(
                act, replace(page, version=form.number("version"), image_id=image_id), form.text("number")
            )
    except BadInput as error:
        return _edit_form(page, form.refused(error, AT)), 400
    except WordholdError as error:
        now = context.reader().get(Page, page_id)
        return _edit_form(now, form.against(Form.of(number=now.number, version=now.version), error)), 409
    return context.done(act, url_for("pages.desk", page_id=page_id))


@blueprint.post("/<page_id>/remove")
def remove(page_id: str) -> Response | tuple[str, int]:
    """Delete a page with its lines; refused while any of them belong to entries."""
    page = context.reader().get(Page, page_id)
    source = context.reader().get(Source, page.source_id)
    try:
        with context.act(Deed.PAGE_REMOVED(number=page.number, label=source.label)) as act:
            page_acts.remove_page(act, page_id)
    except WordholdError as error:
        form = Form.of(number=page.number, pdf_page="1", version=page.version)
        return _edit_form(page, form.refused(error)), 409
    return context.done(act, url_for("pages.index"))


def _enter(form: Form) -> tuple[Page, bool]:
    """Enter the page from the form; return it, and whether its pattern reads any of its lines.

    Raises:
        BadInput: something is missing or wrong, or the pattern fits nothing and this was not confirmed.
    """
    text, image_id = form.text("text"), form.line("image_id")
    source = _source(form)
    pattern = page_acts.pattern_of(source)
    count = match_count(text, pattern) if text.strip() else None
    fits = count is None or count.clean > 0
    if not fits and not form.text("all_the_same") and count is not None:
        raise BadInput(
            count.statement,
            where="stock",
            fix=_("Choose another pattern, or enter the page anyway and correct the pattern on its lines."),
        )
    number = form.line("number")
    with context.act(Deed.PAGE_ENTERED(number=number, label=source.label)) as act:
        stored = save_source(act, source) if not source.id or _changed(act, source) else source
        entered = page_acts.add_page(act, stored.id, number, text, image_id)
    return entered, fits


def _source(form: Form) -> Source:
    """The word-list chosen or described, with a pattern."""
    chosen = form.line("source")
    stock = STOCK.get(form.line("stock"))
    if chosen:
        source = context.reader().get(Source, chosen)
        if not source.pattern.strip():
            source = replace(source, pattern=_pattern(form, stock, source.language))
        return source
    label, title = form.line("label"), form.line("title")
    if not label:
        raise BadInput(
            _("The new word-list needs a short label."),
            where="label",
            fix=_("Type one, such as the author and the year, or choose an existing word-list."),
        )
    return Source(
        "",
        label,
        SourceKind.WORD_LIST,
        title or label,
        issued=form.line("issued"),
        author=form.line("author"),
        pattern=_pattern(form, stock),
    )


def _pattern(form: Form, stock: LinePattern | None, language: str = "") -> str:
    if stock is None:
        raise BadInput(
            _("The word-list has no line pattern yet."), where="stock", fix=_("Choose one to start from.")
        )
    headword, equivalent = form.line("headword_language"), form.line("equivalent_language")
    told = {"headword": headword, "equivalent": equivalent, "source": language}
    with ReportedAt("equivalent_language"):
        return write_pattern(with_languages(context.termbase(), stock, **told))


def _changed(act: Act, source: Source) -> bool:
    return act.get(Source, source.id) != source


def _taken_files(form: Form) -> tuple[Form, tuple[BadInput, ...]]:
    """The form with the text and the picture of uploaded files in it; what is wrong with either."""
    errors: list[BadInput] = []
    for name in _FIELDS:
        if name not in form.texts:
            form = form.with_text(name, "")
    try:
        uploaded = request.files.get("file")
        if uploaded is not None and uploaded.filename:
            text = read_transcript(uploaded.read(), uploaded.filename, encoding=_encoding(form))
            form = form.with_text("text", text)
    except BadInput as error:
        errors.append(BadInput(error_text(error), where="file", fix=error.fix))
    try:
        picture = _picture(form)
        if picture:
            with context.act(Deed.PICTURE_KEPT()) as act:
                act.add_image(picture)
            form = form.with_text("image_id", picture.id)
    except BadInput as error:
        errors.append(error)
    return form, tuple(errors)


def _picture(form: Form) -> Image | None:
    uploaded: FileStorage | None = uploads.file("image")
    if uploaded is None or not uploaded.filename:
        return None
    typed = form.line("pdf_page") or "1"
    number = whole_number(typed)
    if number is None:
        raise BadInput(
            _("“%(number)s” is not a page number of the PDF.", number=typed[:80]),
            where="pdf_page",
            fix=_("Use digits only."),
        )
    try:
        return read_picture(uploaded.read(), uploaded.filename, pdf_page=number)
    except BadInput as error:
        raise BadInput(error_text(error), where="image", fix=error.fix) from error


def _encoding(form: Form) -> Encoding:
    asked = form.line("encoding")
    return cast(Encoding, asked) if asked in ENCODINGS else "utf-8"


def _languages(form: Form) -> tuple[str, str]:
    """The languages that a text is tried in: those chosen, else the first of the termbase."""
    termbase = context.termbase()
    headword = form.line("headword_language") or termbase.working_language
    return headword, form.line("equivalent_language") or next(iter(termbase.vernaculars), "und")


def _ranked(form: Form) -> tuple[Suggestion, ...]:
    text = form.text("text")
    return suggest(text, *_languages(form)) if text.strip() else ()


def _tried(ranked: Sequence[Suggestion]) -> dict[str, Suggestion]:
    """Return them by name, the best first."""
    return {one.name: one for one in ranked}


def _form(form: Form) -> str:
    reader = context.reader()
    kind = SourceKind.WORD_LIST.value
    lists = sorted(reader.all(Source, kind=kind), key=lambda s: s.label.casefold())
    ranked = _ranked(form)
    if ranked and ranked[0].entries and not form.line("stock"):
        form = form.with_text("stock", ranked[0].name)
    termbase = context.termbase()
    spoken = [(tag, tag_words(tag)) for tag in dict.fromkeys(termbase.languages)]
    return render_template(
        "pages/add.html",
        form=form,
        lists=lists,
        tried=_tried(ranked),
        stock=STOCK,
        languages=_languages(form),
        headword_languages=spoken,
        equivalent_languages=[("", _("not chosen yet")), *spoken]
        if len(termbase.vernaculars) > 1
        else spoken,
        encodings=ENCODINGS,
        most=context.settings().max_upload,
        unpatterned=tuple(s.id for s in lists if not s.pattern.strip()),
    )


def _edit_form(page: Page, form: Form) -> str:
    source = context.reader().get(Source, page.source_id)
    for name in ("number", "image"):
        if name not in form.texts:
            form = form.with_text(name, "")
    return render_template("pages/edit.html", page=page, source=source, form=form)


NONE = PageCount(0, 0, 0, 0)


@dataclass(frozen=True)
class WordList:
    """A word-list with its pages in order of their numbers, each with its progress."""

    source: Source
    pages: tuple[tuple[Page, PageCount], ...]

    @property
    def left(self) -> int:
        """The number of open lines on all its pages."""
        return sum(count.left for _, count in self.pages)


@blueprint.get("")
def index() -> str:
    """Every word-list with its pages; `q` keeps those whose label or page number holds it."""
    reader = context.reader()
    wanted = request.args.get("q", "").strip()
    counts = reader.page_counts()
    pages = reader.all(Page)
    lists = []
    for source in sorted(
        reader.all(Source, kind=SourceKind.WORD_LIST.value), key=lambda s: s.label.casefold()
    ):
        own = sorted((p for p in pages if p.source_id == source.id), key=page_order)
        if wanted and wanted.casefold() not in source.label.casefold():
            own = [p for p in own if wanted.casefold() in p.number.casefold()]
            if not own:
                continue
        lists.append(WordList(source, tuple((p, counts.get(p.id, NONE)) for p in own)))
    part = bool(request.args.get("part"))
    return render_template(
        "pages/lists.html" if part else "pages/index.html", lists=lists, wanted=wanted, none_at_all=not pages
    )
