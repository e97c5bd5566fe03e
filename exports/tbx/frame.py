"""What stands round the entries: the header before them, people and sources behind them."""

from collections.abc import Iterator
from typing import Final

from exports.tbx.context import WORDS_LANGUAGE, Context, is_english
from exports.tbx.tags import FIELDS
from exports.tbx.xmltext import language_attribute, xml_id
from termbase.people import CAUTIONS, Person
from termbase.rulecodes import RuleCode
from termbase.sources import Source

__all__ = ["LANGUAGES", "MARK", "back", "header"]

MARK: Final = (
    "Written by Wordhold (notes, version 1). A note that begins with the name of a field and a colon, such "
    "as “Kind of quotation: use”, “Certainty: probable” or “Origin: word-list”, holds that field."
)
"""The mark of ours: where a header says this, such notes are read back as the fields they hold. Once it is in
use, it is never changed; a further version gets a further sentence."""
LANGUAGES: Final = "Languages, the working language first: "
Values = tuple[tuple[str, str], ...]
"""Path of a field and its value."""


def header(context: Context) -> str:
    """Everything before the first entry: declaration, root, header, and the opening of the text."""
    termbase, escape, carried = context.library.termbase, context.escaper.text, context.tally.carried
    tagged = "" if is_english(context.working_language) else language_attribute(WORDS_LANGUAGE)
    title = escape(termbase.title)
    rights = "".join(
        f"<p>{label}: {escape(value)}</p>\n"
        for label, value in (("Licence", termbase.licence), ("Rights", termbase.rights))
        if value
    )
    notice = f"<p>{escape(termbase.notice)}</p>\n" if termbase.notice else ""
    languages = LANGUAGES + ", ".join((termbase.working_language, *termbase.vernaculars))
    for path, value in (
        ("title", termbase.title), ("working_language", termbase.working_language),
        ("licence", termbase.licence), ("rights", termbase.rights), ("notice", termbase.notice),
    ):  # fmt: skip
        if value:
            carried[f"termbase.{path}"] += 1
    if termbase.vernaculars:
        carried["termbase.vernaculars"] += len(termbase.vernaculars)
    for path in ("termbase.id", "termbase.version"):
        context.tally.left_out[path] += 1
    return "".join(
        (
            '<?xml version="1.0" encoding="UTF-8"?>\n',
            context.dialect.root(context.working_language),
            "\n<tbxHeader>\n<fileDesc>\n",
            f"<publicationStmt>\n{rights}</publicationStmt>\n" if rights else "",
            f"<titleStmt>\n<title>{title}</title>\n<note{tagged}>{escape(CAUTIONS)}</note>\n</titleStmt>\n",
            f"<sourceDesc>\n{notice}<p{tagged}>{escape(languages)}</p>\n",
            "</sourceDesc>\n</fileDesc>\n<encodingDesc>\n",
            f"<p{tagged}>ISO 30042:2019, {context.dialect.title}</p>\n<p{tagged}>{escape(MARK)}</p>\n",
            "</encodingDesc>\n</tbxHeader>\n<text>\n",
        )
    )


def back(context: Context) -> Iterator[str]:
    """Everything behind the last entry, in pieces: people, sources, rule codes, the ends of text and root.

    A selection takes along only the people and sources that it points at.
    """
    everything = context.selected is None
    people = [
        p for i, p in sorted(context.people.items(), key=_in_order) if everything or i in context.cited_people
    ]
    sources = [
        s
        for i, s in sorted(context.library.sources.items(), key=_in_order)
        if everything or i in context.cited_sources
    ]
    yield "<back>\n"
    if people:
        yield '<refObjectSec type="respPerson">\n'
        yield from (_object(context, "person", p.id, _person(p)) for p in people)
        yield "</refObjectSec>\n"
    if sources or context.library.codes:
        yield '<refObjectSec type="bibl">\n'
        yield from (_object(context, "source", s.id, _source(s)) for s in sources)
        yield from (_object(context, "code", c.id, _code(context, c)) for c in context.library.codes)
        yield "</refObjectSec>\n"
    yield "</back>\n</text>\n</tbx>\n"
    _count_left_out(context, sources)


def _in_order(item: tuple[str, object]) -> tuple[int, str]:
    return len(item[0]), item[0]


def _object(context: Context, kind: str, record_id: str, values: Values) -> str:
    escape, tally = context.escaper.text, context.tally
    out = [f'<refObject id="{xml_id(kind, record_id)}">\n']
    for path, value in values:
        if value:
            out.append(f'<item type="{FIELDS[path].place.removeprefix("item ")}">{escape(value)}</item>\n')
            tally.carried[path] += 1
    if len(out) == 1:
        out.append(f"<item>{escape(record_id)}</item>\n")
    out.append("</refObject>\n")
    tally.carried[f"{kind}.id"] += 1
    tally.left_out[f"{kind}.version"] += 1
    return "".join(out)


def _person(person: Person) -> Values:
    return ("person.name", person.name), *(("person.roles", role.value) for role in person.roles)


def _source(source: Source) -> Values:
    return (
        ("source.label", source.label),
        ("source.kind", source.kind.value),
        ("source.title", source.title),
        ("source.author", source.author),
        ("source.editor", source.editor),
        ("source.container", source.container),
        ("source.publisher", source.publisher),
        ("source.place", source.place),
        ("source.issued", source.issued),
        ("source.pages", source.pages),
        ("source.archive", source.archive),
        ("source.shelfmark", source.shelfmark),
        ("source.url", source.url),
        ("source.language", source.language),
        *(("source.styles", style) for style in source.styles),
        ("source.rights", source.rights),
        ("source.note", source.note),
    )


def _code(context: Context, code: RuleCode) -> Values:
    return (
        ("code.name", code.name),
        ("code.place", code.place),
        ("code.period", code.period),
        ("code.note", code.note),
        *(("code.sources", context.label_of(s)) for s in code.sources),
    )


def _count_left_out(context: Context, sources: list[Source]) -> None:
    left_out = context.tally.left_out
    for source in sources:
        if source.pattern:
            left_out["source.pattern"] += 1
    for code in context.library.codes:
        left_out["code.clauses"] += len(code.clauses)
