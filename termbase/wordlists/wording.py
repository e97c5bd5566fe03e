"""A line pattern, and what it makes of a page, in plain words."""

from collections import Counter
from dataclasses import dataclass

from termbase.codes.wording import statement_text
from termbase.messages import joined, message, message_of_number
from termbase.record.lines import LISTS, CutLine, ParsedLine, listed_meaning
from termbase.wordlists.compiling import LEVELS, compile_pattern
from termbase.wordlists.layouts import describe_layout
from termbase.wordlists.parsing import parse_page
from termbase.wordlists.patterns import Abbreviation, Cutting, LinePattern

__all__ = ["MatchCount", "explain", "match_count"]

_READS = {
    "record": message("A record is printed as: %(layout)s."),
    "sense": message("A sense is printed as: %(layout)s."),
    "equivalent": message("An equivalent is printed as: %(layout)s."),
    "phrase": message("A phrase is printed as: %(layout)s."),
}
_DITTO = {
    "headword": message("the whole headword last printed in full"),
    "first word": message("the first word of the headword last printed in full"),
    "word for word": message("the word above it, one word for each mark"),
}


@dataclass(frozen=True, slots=True)
class MatchCount:
    """The result of a pattern on a page.

    Attributes:
        records, furniture, blank: lines of each kind.
        clean: records read without problems.
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
    """Describe in numbers what a pattern reads from a page.

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
        return message("There are no records on this page: every line is blank or page furniture.")
    if clean == total:
        return message_of_number("The only record can be read.", "All %(n)s records can be read.", total)
    line, parsed = next(one for one in records if one[1].troubles)
    trouble = parsed.troubles[0]
    printed_line, column = line.place(trouble.column)
    first = message(
        "The first problem is in line %(line)s, column %(column)s: %(why)s",
        line=printed_line,
        column=column,
        why=statement_text(trouble.why),
    )
    if unread == total:
        return joined((message("This pattern fits none of the %(n)s records.", n=total), first))
    if unread:
        read = message(
            "%(clean)s of %(n)s records can be read without problems, %(unread)s not at all.",
            clean=clean,
            n=total,
            unread=unread,
        )
    else:
        read = message("%(clean)s of %(n)s records can be read without problems.", clean=clean, n=total)
    return joined((read, first))


def explain(pattern: LinePattern) -> tuple[str, ...]:
    """Say in plain words how a pattern reads a book, one sentence for each matter.

    Raises:
        BadInput: the pattern cannot be read.
    """
    compile_pattern(pattern)
    cutting = pattern.cutting
    lines = [_cut(cutting)]
    if cutting.headword_sign and cutting.records == "headword line":
        lines.append(message("Only headword lines contain “%(sign)s”.", sign=cutting.headword_sign))
    if cutting.end:
        lines.append(
            message("A record may end with “%(sign)s”, which is not part of a word.", sign=cutting.end)
        )
    lines += _layouts(pattern)
    lines += _marks(pattern)
    lines += _labels(pattern)
    lines += _page(pattern)
    return tuple(lines)


def _cut(cutting: Cutting) -> str:
    gloss = message("line")
    if cutting.gloss_lines != 1:
        gloss = message_of_number("%(n)s line", "%(n)s lines", cutting.gloss_lines)
    columns = message_of_number("one space", "%(n)s spaces", cutting.indent)
    if cutting.records == "each line":
        return message("Every printed line is a record.")
    if cutting.records == "margin":
        return message(
            "A record starts at the margin; lines indented by %(indent)s or more continue it.",
            indent=columns,
        )
    if cutting.records == "blank line":
        return message("There is a blank line between records.")
    return message(
        "A record is a headword line and the %(gloss)s after it; lines indented by %(indent)s "
        "or more, and lines that start with a later sense number, continue it.",
        gloss=gloss,
        indent=columns,
    )


def _layouts(pattern: LinePattern) -> list[str]:
    lines: list[str] = []
    for name, level in LEVELS.items():
        texts: tuple[str, ...] = getattr(pattern.layouts, name)
        for number, text in enumerate(texts):
            lead = message("Or: %(layout)s.") if number else _READS[name]
            lines.append(message(lead, layout=describe_layout(text, level)))
    return lines


def _marks(pattern: LinePattern) -> list[str]:
    marks = pattern.marks
    lines: list[str] = []
    if marks.sense_number:
        lines.append(message("Senses are numbered “%(mark)s” and so on.", mark=marks.sense_number))
    if marks.senses:
        lines.append(message("Unnumbered senses are separated by %(marks)s.", marks=_quoted(marks.senses)))
    if marks.equivalents:
        lines.append(message("Equivalents are separated by %(marks)s.", marks=_quoted(marks.equivalents)))
    if marks.see:
        lines.append(message("A cross-reference follows %(marks)s.", marks=_quoted(marks.see)))
    if pattern.ditto.marks:
        repeats = _DITTO[pattern.ditto.repeats]
        lines.append(
            message(
                "A ditto mark (%(marks)s) in place of a headword stands for %(what)s; "
                "elsewhere it stands for what the previous line has there.",
                marks=_quoted(pattern.ditto.marks),
                what=repeats,
            )
        )
    return lines


def _labels(pattern: LinePattern) -> list[str]:
    labels = pattern.labels
    tables: tuple[tuple[str, tuple[Abbreviation, ...]], ...] = (
        (message("Parts of speech"), labels.part_of_speech),
        (message("Genders"), labels.gender),
        (message("Numbers"), labels.number),
        (message("Inflected forms"), labels.forms),
        (message("Style labels"), labels.style),
    )
    lines: list[str] = [
        message("%(table)s: %(rows)s.", table=name, rows=_rows(table)) for name, table in tables if table
    ]
    unlisted = tuple(
        row for slot, table in zip(LISTS, tables, strict=False) for row in table[1] if _unlisted(row, slot)
    )
    if unlisted:
        lines.append(
            message(
                "Lines with these labels are not read cleanly, because their meanings are not "
                "in our lists: %(rows)s. Write one of our words, with the book's own word in "
                "brackets, such as other (participle).",
                rows=_rows(unlisted),
            )
        )
    if labels.plain_form:
        lines.append(
            message("An inflected form without a label is the %(form)s.", form=message(labels.plain_form))
        )
    return lines


def _page(pattern: LinePattern) -> list[str]:
    breaks, furniture = pattern.breaks, pattern.furniture
    lines: list[str] = []
    if breaks.hyphens:
        kept = f" ({', '.join(breaks.kept)})" if breaks.kept else ""
        lines.append(
            message(
                "A word broken at the line end with %(marks)s is joined; it keeps its own "
                "hyphen if it is one of the kept words%(kept)s or is printed with a hyphen "
                "elsewhere on the page.",
                marks=_quoted(breaks.hyphens),
                kept=kept,
            )
        )
    apart: list[str] = [message("the running head “%(text)s”", text=head) for head in furniture.running_heads]
    apart += [message("page numbers")] if furniture.page_numbers else []
    apart += [message("section letters")] if furniture.section_letters else []
    if furniture.front_matter_ends:
        last = furniture.front_matter_ends
        apart.append(message("everything up to the last line with “%(text)s”", text=last))
    if furniture.back_matter_begins:
        first = furniture.back_matter_begins
        apart.append(message("everything from the last line “%(text)s”", text=first))
    if apart:
        lines.append(message("Page furniture: %(parts)s.", parts=joined(apart, ", ")))
    return lines


def _rows(table: tuple[Abbreviation, ...]) -> str:
    """The printed abbreviations with their meanings, translated where the closed lists have them."""
    return joined((joined((row.printed, message(row.meaning))) for row in table), ", ")


def _unlisted(row: Abbreviation, slot: str) -> bool:
    """Whether no list has the meaning of a label; the first of several is of the slot itself."""
    return listed_meaning(row.meaning)[0].partition(", ")[0] not in LISTS[slot]


def _quoted(words: tuple[str, ...]) -> str:
    return ", ".join(f"“{word}”" for word in words)
