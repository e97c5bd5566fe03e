"""A line pattern, and what it makes of a page, in plain words."""

from collections import Counter
from dataclasses import dataclass

from termbase.linepatterns.compiled import LEVELS, compile_pattern
from termbase.linepatterns.layouts import describe_layout
from termbase.linepatterns.parsing import parse_page
from termbase.linepatterns.pattern import Abbreviation, LinePattern
from termbase.linepatterns.records import CutLine, ParsedLine

__all__ = ["MatchCount", "explain", "match_count"]

_CUTS = {
    "each line": "Every printed line is a record.",
    "margin": "A record starts at the margin; lines indented by {indent} or more go on with it.",
    "blank line": "A blank line stands between records.",
    "headword line": "A record is a headword line and the {gloss} after it; lines indented by {indent} or"
    " more, and lines that open with a later sense number, go on with it.",
}
_DITTO = {
    "headword": "the whole headword last printed in full",
    "first word": "the first word of the headword last printed in full",
    "word for word": "the word above it, mark for mark",
}


@dataclass(frozen=True, slots=True)
class MatchCount:
    """What a pattern makes of a page.

    Attributes:
        records, furniture, blank: lines of each kind.
        clean: records read without trouble.
        by_layout: how many records each layout of a record fitted, in the pattern's order.
        statement: the same in a sentence or two, with the first stop when nothing fits.
    """

    records: int
    clean: int
    furniture: int
    blank: int
    by_layout: tuple[int, ...]
    statement: str


def match_count(transcription: str, pattern: LinePattern) -> MatchCount:
    """Count what a pattern reads of a page, and say it.

    Raises:
        BadInput: the pattern itself cannot be read.
    """
    read = parse_page(transcription, pattern)
    kinds = Counter(line.kind for line, _ in read)
    records = [(line, parsed) for line, parsed in read if parsed is not None]
    clean = sum(not parsed.troubles for _, parsed in records)
    layouts = Counter(parsed.layout for _, parsed in records)
    by_layout = tuple(layouts[number] for number in range(1, len(pattern.layouts.record) + 1))
    return MatchCount(
        len(records), clean, kinds["furniture"], kinds["blank"], by_layout, _state(records, clean, layouts[0])
    )


def _state(records: list[tuple[CutLine, ParsedLine]], clean: int, unread: int) -> str:
    total = len(records)
    if not total:
        return "There is no record on this page: every line is blank or page furniture."
    if clean == total:
        return f"All {total} records are read." if total > 1 else "The one record is read."
    line, parsed = next(one for one in records if one[1].troubles)
    trouble = parsed.troubles[0]
    printed_line, column = line.place(trouble.column)
    first = f"The first stop is in line {printed_line}, column {column}: {trouble.why}"
    if unread == total:
        return f"This pattern fits none of the {total} records. {first}"
    parted = f", {unread} not at all" if unread else ""
    return f"{clean} of {total} records are read without trouble{parted}. {first}"


def explain(pattern: LinePattern) -> str:
    """Say in plain words how a pattern reads a book, one matter a line.

    Raises:
        BadInput: the pattern cannot be read.
    """
    compile_pattern(pattern)
    cutting = pattern.cutting
    gloss = "line" if cutting.gloss_lines == 1 else f"{cutting.gloss_lines} lines"
    columns = "one space" if cutting.indent == 1 else f"{cutting.indent} spaces"
    lines = [_CUTS[cutting.records].format(indent=columns, gloss=gloss)]
    if cutting.headword_sign and cutting.records == "headword line":
        lines.append(f"Only a headword line shows “{cutting.headword_sign}”.")
    if cutting.end:
        lines.append(f"A record may close with “{cutting.end}”, which belongs to no word.")
    lines += _layouts(pattern)
    lines += _marks(pattern)
    lines += _labels(pattern)
    lines += _page(pattern)
    return "\n".join(lines)


def _layouts(pattern: LinePattern) -> list[str]:
    lines: list[str] = []
    for name, level in LEVELS.items():
        texts: tuple[str, ...] = getattr(pattern.layouts, name)
        subject = level.name[:1].upper() + level.name[1:]
        for number, text in enumerate(texts):
            lead = f"{subject} reads" if not number else "Or else"
            lines.append(f"{lead}: {describe_layout(text, level)}.")
    return lines


def _marks(pattern: LinePattern) -> list[str]:
    marks = pattern.marks
    lines: list[str] = []
    if marks.sense_number:
        lines.append(f"Senses are numbered “{marks.sense_number}” and so on.")
    if marks.senses:
        lines.append(f"Senses without a number are parted by {_quoted(marks.senses)}.")
    if marks.equivalents:
        lines.append(f"Equivalents are parted by {_quoted(marks.equivalents)}.")
    if marks.see:
        lines.append(f"A cross-reference follows {_quoted(marks.see)}.")
    if pattern.ditto.marks:
        repeats = _DITTO[pattern.ditto.repeats]
        lines.append(
            f"A ditto mark ({_quoted(pattern.ditto.marks)}) in the place of a headword stands for {repeats};"
            " elsewhere for what the line before has there."
        )
    return lines


def _labels(pattern: LinePattern) -> list[str]:
    labels = pattern.labels
    tables: tuple[tuple[str, tuple[Abbreviation, ...]], ...] = (
        ("Parts of speech", labels.part_of_speech),
        ("Genders", labels.gender),
        ("Numbers", labels.number),
        ("Inflected forms", labels.forms),
        ("Style labels", labels.style),
    )
    lines = [
        f"{name}: {', '.join(f'{row.printed} {row.meaning}' for row in table)}."
        for name, table in tables
        if table
    ]
    if labels.plain_form:
        lines.append(f"An inflected form without a label is the {labels.plain_form}.")
    return lines


def _page(pattern: LinePattern) -> list[str]:
    breaks, furniture = pattern.breaks, pattern.furniture
    lines: list[str] = []
    if breaks.hyphens:
        kept = f" ({', '.join(breaks.kept)})" if breaks.kept else ""
        lines.append(
            f"A word broken at the line end with {_quoted(breaks.hyphens)} is mended; its own hyphen stays"
            f" when it is one of the kept words{kept} or is printed with it elsewhere on the page."
        )
    apart = [f"the running head “{head}”" for head in furniture.running_heads]
    apart += ["page numbers"] if furniture.page_numbers else []
    apart += ["section letters"] if furniture.section_letters else []
    if furniture.front_matter_ends:
        apart.append(f"everything down to the last line with “{furniture.front_matter_ends}”")
    if furniture.back_matter_begins:
        apart.append(f"everything from the last line “{furniture.back_matter_begins}”")
    if apart:
        lines.append(f"Page furniture: {', '.join(apart)}.")
    return lines


def _quoted(words: tuple[str, ...]) -> str:
    return ", ".join(f"“{word}”" for word in words)
