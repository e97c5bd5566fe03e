"""The line pattern as a form: every setting a field, in plain words; and back.

Lists have one item on each line, tables `s. = noun`, and between two layouts stands a line with `or`.
"""

import re
from collections.abc import Mapping
from dataclasses import asdict
from typing import Final

from app.web.forms import Form
from app.web.language import gettext as _
from termbase.errors import BadInput, ReportedAt
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

__all__ = ["OPTIONS", "field_of", "form_of", "pattern_from"]

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
"""What a setting can be: its values with their words."""

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
    """The pattern that a form says.

    Raises:
        BadInput: a setting cannot be so; `where` names its field.
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
    """The field that an error about a pattern means; empty when it means none."""
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
