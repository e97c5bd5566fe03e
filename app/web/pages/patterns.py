"""The pattern editor of a word-list: each setting in words, and a preview on the lines of the page."""

import re
from collections.abc import Mapping
from dataclasses import asdict, dataclass, replace
from functools import lru_cache
from typing import Final

from flask import redirect, render_template, request, url_for
from werkzeug.wrappers import Response

from app.web import context
from app.web.blueprints import pages as blueprint
from app.web.forms import Form
from app.web.language import gettext as _
from termbase.acts import refitting
from termbase.acts.drafting import stated_languages, with_languages
from termbase.acts.sources import save_source
from termbase.codes.deeds import Deed
from termbase.errors import BadInput, Conflict, InUse, ReportedAt, WordholdError
from termbase.languages import tags
from termbase.record.pages import Line, LineState, Page, page_order
from termbase.record.sources import Source
from termbase.store import line_lists as desk_lines
from termbase.store.reading import Reader
from termbase.store.writing import Act
from termbase.wordlists.pattern_files import read_pattern, write_pattern
from termbase.wordlists.patterns import (
    Abbreviation,
    Breaks,
    Cutting,
    Ditto,
    Furniture,
    Labels,
    Layouts,
    LinePattern,
    Marks,
)
from termbase.wordlists.stock import STOCK
from termbase.wordlists.suggesting import Suggestion, suggest
from termbase.wordlists.wording import explain

__all__ = ["OPTIONS", "Preview", "field_of", "form_of", "pattern_from"]


# The line pattern as a form, with a field for every setting, and the form as a line pattern.
#
# Lists have one item on each line, tables `s. = noun`, and two layouts are separated by a line with `or`.

RECORDS = (
    ("each line", "every printed line is a record"),
    ("margin", "a record starts at the margin, indented lines continue it"),
    ("blank line", "there is a blank line between records"),
    ("headword line", "a headword line, with its equivalents on the lines below"),
)
REPEATS = (
    ("headword", "the whole headword above"),
    ("first word", "the first word of the headword above"),
    ("word for word", "the word above, one for each mark"),
)
SENSE_NUMBERS = (("", "senses are not numbered"), *((n, n) for n in ("1.", "1)", "(1)", "a.", "a)", "(a)")))
OPTIONS: Final[Mapping[str, tuple[tuple[str, str], ...]]] = {
    "RECORDS": RECORDS, "REPEATS": REPEATS, "SENSE_NUMBERS": SENSE_NUMBERS,
}  # fmt: skip
"""The values of each setting, with their words."""

_LISTS = {
    "marks": ("senses", "equivalents", "see"),
    "ditto": ("marks",),
    "breaks": ("hyphens", "kept"),
    "furniture": ("running_heads",),
}
_TABLES = ("part_of_speech", "gender", "number", "forms", "style")
_LEVELS = ("record", "sense", "equivalent", "phrase")
_SWITCHES = ("furniture_page_numbers", "furniture_section_letters")
_OR = re.compile(r"^[ \t]*or[ \t]*$", re.MULTILINE)
_PLACE = re.compile(r"\b(cutting|layouts|marks|labels|ditto|breaks|furniture)[.,]\s*(\w+)")


def form_of(pattern: LinePattern) -> Form:
    """The form filled from a pattern; a field is named for its group and setting (`cutting_records`)."""
    texts: dict[str, object] = {
        "name": pattern.name,
        "description": pattern.description,
        "headword_language": pattern.headword_language,
        "equivalent_language": pattern.equivalent_language,
    }
    for group, settings in asdict(pattern).items():
        if isinstance(settings, dict):
            for name, value in settings.items():
                texts[f"{group}_{name}"] = _text(group, name, value)
    return Form.of(**texts)


def pattern_from(form: Form) -> LinePattern:
    """Return the pattern that a form describes.

    Raises:
        BadInput: a setting is invalid; `where` names its field.
    """
    pattern = LinePattern(
        name=form.line("name"),
        description=form.line("description"),
        headword_language=form.line("headword_language"),
        equivalent_language=form.line("equivalent_language"),
        cutting=Cutting(
            records=_choice(form, "cutting_records", RECORDS, "each line"),  # type: ignore[arg-type]
            indent=_number(form, "cutting_indent", 1),
            gloss_lines=_number(form, "cutting_gloss_lines", 1),
            headword_sign=form.line("cutting_headword_sign"),
            end=form.line("cutting_end"),
        ),
        layouts=Layouts(**{level: _layouts(form.text(f"layouts_{level}")) for level in _LEVELS}),
        marks=Marks(
            sense_number=_choice(form, "marks_sense_number", SENSE_NUMBERS, ""),
            senses=_lines(form, "marks_senses"),
            equivalents=_lines(form, "marks_equivalents"),
            see=_lines(form, "marks_see"),
        ),
        labels=Labels(
            **{table: _table(form, f"labels_{table}") for table in _TABLES},
            plain_form=form.line("labels_plain_form"),
        ),
        ditto=Ditto(
            marks=_lines(form, "ditto_marks"),
            repeats=_choice(form, "ditto_repeats", REPEATS, "headword"),  # type: ignore[arg-type]
        ),
        breaks=Breaks(hyphens=_lines(form, "breaks_hyphens"), kept=_lines(form, "breaks_kept")),
        furniture=Furniture(
            running_heads=_lines(form, "furniture_running_heads"),
            page_numbers=bool(form.text("furniture_page_numbers")),
            section_letters=bool(form.text("furniture_section_letters")),
            front_matter_ends=form.line("furniture_front_matter_ends"),
            back_matter_begins=form.line("furniture_back_matter_begins"),
        ),
    )
    with ReportedAt(lambda error: field_of(error.where)):
        return read_pattern(write_pattern(pattern), "pattern")


def field_of(place: str) -> str:
    """Return the field that an error about a pattern refers to; empty if there is none."""
    found = _PLACE.search(place)
    if found:
        return f"{found[1]}_{found[2]}"
    return "name" if place.endswith("name") or place == "pattern" else ""


def _text(group: str, name: str, value: object) -> object:
    if group == "layouts" and isinstance(value, tuple):
        return "\nor\n".join(value)
    if group == "labels" and isinstance(value, tuple):
        return "\n".join(f"{row['printed']} = {row['meaning']}" for row in value)
    if isinstance(value, tuple):
        return "\n".join(value)
    if isinstance(value, bool):
        return "yes" if value else ""
    return value


def _layouts(text: str) -> tuple[str, ...]:
    return tuple(filter(None, (part.strip("\n").rstrip() for part in _OR.split(text))))


def _lines(form: Form, name: str) -> tuple[str, ...]:
    return tuple(line for line in form.text(name).split("\n") if line.strip())


def _table(form: Form, name: str) -> tuple[Abbreviation, ...]:
    rows: dict[str, str] = {}
    for number, line in enumerate(form.text(name).split("\n"), 1):
        if not line.strip():
            continue
        printed, mark, meaning = line.rpartition("=")
        if not mark or not printed.strip() or not meaning.strip():
            raise BadInput(
                _(
                    "Line %(number)s, “%(text)s”, is not an abbreviation with its meaning.",
                    number=number,
                    text=line.strip(),
                ),
                where=name,
                fix=_("Write one per line: s. = noun"),
            )
        rows[printed.strip()] = meaning.strip()
    return tuple(Abbreviation(printed, meaning) for printed, meaning in rows.items())


def _number(form: Form, name: str, otherwise: int) -> int:
    return min(form.number(name), 100) if form.line(name) else otherwise


def _choice(form: Form, name: str, options: tuple[tuple[str, str], ...], otherwise: str) -> str:
    chosen = form.line(name)
    return chosen if chosen in {value for value, _ in options} else otherwise


LOOKED_AT = 300  # printed lines of a page that the preview reads
LISTED = 40
OTHERS_TYPING = 1_000
OTHERS_ASKED = 20_000
"""Maximum printed lines of the other pages that are counted: while the user types, and on request."""


@dataclass(frozen=True)
class Preview:
    """How a pattern would read a page, before it is saved.

    Attributes:
        page: the page; None while the source has none.
        pattern: the pattern itself; None when it cannot be read.
        error: why not.
        said: the pattern in words, one setting per line.
        lines: lines as they would be read; `clean`, `stopped` and `furniture` count them.
        changed: lines that would be read otherwise than now, with how they are now (None: not there yet).
        gone: how many lines would disappear.
        possible: whether it leaves finished lines unchanged; `in_the_way` counts those that prevent it.
        partial: whether only the beginning of the page was looked at.
        others: what would become of the source's other pages; None where it has none.
    """

    page: Page | None
    pattern: LinePattern | None = None
    error: WordholdError | None = None
    said: tuple[str, ...] = ()
    lines: tuple[Line, ...] = ()
    clean: int = 0
    stopped: int = 0
    furniture: int = 0
    changed: tuple[tuple[Line | None, Line], ...] = ()
    gone: int = 0
    possible: bool = True
    in_the_way: int = 0
    partial: bool = False
    others: refitting.PagesPreview | None = None


@blueprint.get("/pattern/<source_id>")
def pattern(source_id: str) -> str:
    """The editor; `page` chooses the page whose lines are shown, `stock` a starting pattern to show."""
    reader = context.reader()
    source = reader.get(Source, source_id)
    page = _page(reader, source_id, request.args.get("page", ""))
    stock = STOCK.get(request.args.get("stock", ""))
    own, error = _own_pattern(source)
    if stock is not None:
        now = _with_languages(stock, source, own)
    elif own is not None:
        now = own
    elif error is not None or page is None:
        now = _with_languages(LinePattern(source.label), source)
    else:
        now = _with_languages(STOCK[_ranked(page.transcription, *_tried_in(own))[0].name], source)
    form = form_of(now).with_text("version", str(source.version))
    return _editor(source, page, form if error is None else form.refused(error))


@blueprint.post("/pattern/<source_id>")
def save_pattern(source_id: str) -> Response | tuple[str, int]:
    """Save the pattern and read the open lines of its pages again, or only show what would change."""
    form = Form.posted()
    reader = context.reader()
    source = reader.get(Source, source_id)
    page = _page(reader, source_id, form.line("page"))
    try:
        if form.text("do") == "toml":
            read = read_pattern(form.text("toml"), "toml")
            kept = {name: form.texts.get(name, ("",)) for name in ("version", "page")}
            filled = form_of(read)
            return _editor(source, page, replace(filled, texts={**filled.texts, **kept})), 200
        made = pattern_from(form)
        if form.text("do") == "look":
            return _editor(source, page, form), 200
        _must_name_vernacular(made, source)
        with context.act(Deed.PATTERN_CHANGED(label=source.label)) as act:
            wanted = replace(source, pattern=write_pattern(made), version=form.number("version"))
            save_source(act, wanted)
            _refit_all(act, source_id, leave=bool(form.text("leave")))
    except Conflict as error:
        now = context.reader().get(Source, source_id)
        beside = form_of(read_pattern(now.pattern, now.label)).with_text("version", str(now.version))
        return _editor(now, page, form.against(beside, error)), 409
    except BadInput as error:
        place = "toml" if error.where.startswith("toml") else error.where
        return _editor(source, page, _with_fields(form).refused(error, {error.where: place})), 400
    except WordholdError as error:
        return _editor(source, page, form.refused(error), offer_leaving=isinstance(error, InUse)), 409
    leads_to = url_for("pages.desk", page_id=page.id) if page else url_for("pages.index")
    return context.done(act, leads_to) if act.id is not None else redirect(leads_to, 303)


@blueprint.post("/pattern/<source_id>/preview")
def preview(source_id: str) -> str:
    """Preview the page with the settings in the form, while the user types."""
    form = Form.posted()
    reader = context.reader()
    page = _page(reader, source_id, form.line("page"))
    seen = _preview(reader, page, form)
    return render_template("pages/preview.html", preview=seen, listed=LISTED)


def _editor(source: Source, page: Page | None, form: Form, *, offer_leaving: bool = False) -> str:
    reader = context.reader()
    form = _with_fields(form)
    seen = _preview(reader, page, form)
    if seen.error is not None and not form.errors:
        form = form.refused(seen.error)
    pages = sorted(reader.all(Page, source_id=source.id), key=page_order)
    return render_template(
        "pages/pattern.html",
        source=source,
        page=page,
        pages=pages,
        form=form,
        preview=seen,
        listed=LISTED,
        stock=STOCK,
        tried={one.name: one for one in _ranked(page.transcription, *_tried_in(seen.pattern))}
        if page
        else {},
        toml=form.text("toml") or (write_pattern(seen.pattern) if seen.pattern else ""),
        offer_leaving=offer_leaving,
        options={name: [(value, _(said)) for value, said in rows] for name, rows in OPTIONS.items()},
    )


@lru_cache(maxsize=4)
def _ranked(text: str, headword: str, equivalent: str) -> tuple[Suggestion, ...]:
    """The starting patterns ranked on a page; kept, since the editor is shown again and again."""
    return suggest(text, headword, equivalent)


def _tried_in(pattern: LinePattern | None) -> tuple[str, str]:
    """The languages that the stock patterns are tried in: the pattern's, else the first of the termbase."""
    termbase = context.termbase()
    named = pattern or LinePattern("")
    headword = named.headword_language or termbase.working_language
    equivalent = named.equivalent_language or next(iter(termbase.vernaculars), "und")
    fits = tags.is_well_formed(headword) and tags.is_well_formed(equivalent)
    return (headword, equivalent) if fits else (termbase.working_language, "und")


def _own_pattern(source: Source) -> tuple[LinePattern | None, BadInput | None]:
    """The pattern of a source, or what is wrong with it; neither where it has none."""
    try:
        return (read_pattern(source.pattern, source.label) if source.pattern.strip() else None), None
    except BadInput as error:
        return None, error


def _preview(reader: Reader, page: Page | None, form: Form) -> Preview:
    try:
        made = pattern_from(form)
        said = explain(made)
    except BadInput as error:
        return Preview(page, error=error)
    if page is None:
        return Preview(None, made, said=said)
    partial = page.transcription.count("\n") > LOOKED_AT
    upto = LOOKED_AT if partial else None
    old = desk_lines.lines_from(reader, page.id, 0, LOOKED_AT if partial else 10 * LOOKED_AT)
    found = refitting.refitted(page, old, made, upto)
    read = [x for x in found.lines if x.state is not LineState.FURNITURE]
    clean = sum(1 for x in read if x.parsed is not None and not x.parsed.troubles)
    return Preview(
        page,
        made,
        said=said,
        lines=found.lines,
        clean=clean,
        stopped=len(read) - clean,
        furniture=len(found.lines) - len(read),
        changed=found.changed,
        gone=len(found.gone),
        possible=found.possible,
        in_the_way=len(found.in_the_way),
        partial=partial,
        others=_others(reader, page, made, asked=form.text("do") != ""),
    )


def _others(reader: Reader, page: Page, made: LinePattern, *, asked: bool) -> refitting.PagesPreview | None:
    pages = sorted(reader.all(Page, source_id=page.source_id), key=page_order)
    others = [one for one in pages if one.id != page.id]
    most = OTHERS_ASKED if asked else OTHERS_TYPING
    return refitting.refitted_pages(reader, others, made, most) if others else None


def _must_name_vernacular(made: LinePattern, source: Source) -> None:
    """Refuse a pattern that leaves open which of several vernaculars its equivalents are in.

    Raises:
        BadInput: it does, or a tag is not well formed.
    """
    with ReportedAt("equivalent_language"):
        stated_languages(context.termbase(), made, source=source.language)


def _refit_all(act: Act, source_id: str, *, leave: bool) -> None:
    """Read the open lines of every page again; with `leave`, pages that forbid it stay as they are."""
    for page in act.all(Page, source_id=source_id):
        try:
            refitting.refit(act, page.id)
        except InUse:
            if not leave:
                raise


def _page(reader: Reader, source_id: str, wanted: str) -> Page | None:
    found = reader.find(Page, wanted) if wanted else None
    if found is not None and found.source_id == source_id:
        return found
    return next(iter(sorted(reader.all(Page, source_id=source_id), key=page_order)), None)


def _with_languages(stock: LinePattern, source: Source, own: LinePattern | None = None) -> LinePattern:
    """A stock pattern in the languages of the source's own pattern, else of the source or the termbase.

    If the vernacular is not known, its place stays empty.
    """
    termbase = context.termbase()
    named = own or LinePattern("")
    told = {"headword": named.headword_language, "equivalent": named.equivalent_language}
    try:
        return with_languages(termbase, stock, source=source.language, **told)
    except BadInput:
        return replace(stock, headword_language=termbase.working_language)


def _with_fields(form: Form) -> Form:
    """Return the form with every field in it, so that an error can be shown at its field."""
    blank = form_of(LinePattern("")).texts
    return replace(form, texts={"toml": ("",), **dict.fromkeys(blank, ("",)), **form.texts})
