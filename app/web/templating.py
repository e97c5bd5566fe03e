"""What every template can use: filters, the sections, and the values that the frame of each page needs."""

from collections.abc import Callable, Hashable, Mapping
from dataclasses import dataclass

from flask import Flask, g, request
from jinja2 import StrictUndefined
from markupsafe import Markup

from app.web import context, drawing
from app.web.addresses import address_of
from app.web.assets import static_state
from app.web.language import LANGUAGES, date_words, interface_language, listed, translated
from app.web.language import gettext as _
from app.web.uploads import kept_files
from termbase.codes.wording import statement_text
from termbase.dates import edtf as dates
from termbase.errors import BadInput
from termbase.languages import tags
from termbase.messages import Message
from termbase.record.foreign_notes import heading
from termbase.record.people import CAUTIONS
from termbase.record.sources import locator
from termbase.search.hits import noted
from termbase.store.rows import ActRecord

__all__ = ["SECTIONS", "Section", "init_app"]

MOST_ADDRESSES = 5000
MOST_BAD_ROWS = 100
"""Maximum number of bad rows that are listed one by one."""


@dataclass(frozen=True)
class Section:
    """A section of the web interface: its blueprint and its name."""

    blueprint: str
    name: str


SECTIONS = (
    Section("entries", "Entries"),
    Section("pages", "Pages"),
    Section("reading", "Reading"),
    Section("sources", "Sources"),
    Section("rules", "Rules"),
    Section("trials", "Trials"),
    Section("proof", "Proof"),
    Section("publish", "Publish"),
)
"""The sections, in the order of the header."""


def readable_date(edtf: str) -> str:
    """Return an EDTF date in words, or the text itself if it is invalid."""
    try:
        return dates.readable(dates.parse(edtf), date_words()) if edtf else ""
    except BadInput:
        return edtf


def language_name(tag: str) -> str:
    """Return the name of a language in the interface language."""
    try:
        return tags.display_name(tag, interface_language())
    except BadInput:
        return tag


def sentence(text: str) -> str:
    """Return a phrase as a sentence in the reader's language, with a capital and a full stop."""
    trimmed = translated(text).strip()
    if not trimmed:
        return ""
    ended = trimmed if trimmed[-1] in ".!?…" else trimmed + "."
    return ended[0].upper() + ended[1:]


def place_said(where: str) -> str:
    """Return where an error is: an act or a field in the reader's language, anything else as it is."""
    return translated(where) if isinstance(where, Message) else _(where)


def attributes(values: Mapping[str, object]) -> Markup:
    """Return HTML attributes from a mapping: None and False are left out, True gives a bare name."""
    parts = [
        Markup(" {}").format(name) if value is True else Markup(' {}="{}"').format(name, value)
        for name, value in values.items()
        if value is not None and value is not False
    ]
    return Markup("").join(parts)


def picture_size(image_id: str) -> Markup:
    """Return `width` and `height` of a picture, so that the page reserves its space while it loads."""
    size = context.reader().picture_size(image_id)
    return attributes({"width": size[0], "height": size[1]}) if size else Markup("")


def merged(values: Mapping[str, object], more: Mapping[str, object]) -> dict[str, object]:
    """Merge two mappings; the second takes precedence."""
    return {**values, **more}


def init_app(app: Flask) -> None:
    """Set up the templates of the app."""
    env = app.jinja_env
    env.undefined = StrictUndefined
    env.trim_blocks = env.lstrip_blocks = True
    env.filters.update(
        attributes=attributes,
        language_name=language_name,
        listed=listed,
        locator=locator,
        noted=noted,
        worded=statement_text,
        foreign_heading=heading,
        place_said=place_said,
        merged=merged,
        readable_date=readable_date,
        sentence=sentence,
    )
    env.globals.update(
        address_of=address_of,
        cautions=CAUTIONS,
        date_words=date_words,
        drawing=drawing,
        interface_language=interface_language,
        kept_files=kept_files,
        languages_spoken=LANGUAGES,
        most_bad_rows=MOST_BAD_ROWS,
        picture_size=picture_size,
        sections=SECTIONS,
    )

    env.globals["url_for"] = _addresses(app)

    @app.context_processor
    def frame() -> dict[str, object]:
        return {
            "current_person": context.current_person,
            "people": context.people,
            "termbase": context.termbase,
            "just_done": _just_done,
            "this_page": _this_page,
            "section_name": _section_name,
        }


def _addresses(app: Flask) -> Callable[..., str]:
    """Cache `url_for` for templates: a page has dozens of addresses, and building one is slow."""
    known: dict[Hashable, str] = {}

    def build(endpoint: str, anchor: str | None, external: bool | None, values: Mapping[str, object]) -> str:
        return app.url_for(endpoint, _anchor=anchor, _method=None, _scheme=None, _external=external, **values)

    def url_for(
        endpoint: str, *, _anchor: str | None = None, _external: bool | None = None, **values: object
    ) -> str:
        if endpoint == "static":
            fixed: Hashable = static_state()  # it may change at run time
        else:
            fixed = request.blueprint if endpoint.startswith(".") else ""
        key = (request.script_root, endpoint, fixed, _anchor, *values.items())
        try:
            address = known.get(key)
        except TypeError:  # a list among the values
            return build(endpoint, _anchor, _external, values)
        if address is None or _external is not None:
            address = build(endpoint, _anchor, _external, values)
            if len(known) >= MOST_ADDRESSES:
                known.clear()
            known[key] = address
        return address

    return url_for


def _just_done() -> ActRecord | None:
    act = context.last_done()
    g.done_shown = True
    return act


def _this_page() -> str:
    """Return the page to come back to after a form in the frame."""
    if request.method != "GET":
        return "/"
    return request.full_path if request.query_string else request.path


def _section_name(section: Section) -> str:
    return _(section.name)
