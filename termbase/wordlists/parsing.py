"""Parsing the records of a word-list page. Parsing never fails: unreadable text is kept and reported."""

from dataclasses import replace

from termbase.codes.lines import Expected, Problem
from termbase.fields.notes import NOTHING_SAID, CodedText
from termbase.record.lines import HEADWORD, STYLE, CutLine, ParsedForm, ParsedLine, Sense, Trouble
from termbase.wordlists.compiling import Compiled, compile_pattern
from termbase.wordlists.cutting import cut, indentation, read_depths
from termbase.wordlists.labels import LineState, read_forms
from termbase.wordlists.matching import Span, Stop
from termbase.wordlists.patterns import LinePattern
from termbase.wordlists.senses import read_see, read_senses, read_variants

__all__ = ["parse", "parse_page"]

_LONGEST = 20_000  # characters; a longer record is a page that was not cut


def parse(line: CutLine, pattern: LinePattern, previous: ParsedLine | None) -> ParsedLine:
    """Parse one line; `previous` is the record before it, for ditto marks.

    Of several layouts the first that fits without trouble is taken, else the first that fits, else the
    one that came furthest; then `rest` holds what is left and the last trouble says where and why.

    Raises:
        BadInput: the pattern itself cannot be read (never because of the line).
    """
    return _parse(line, compile_pattern(pattern), previous)


def parse_page(transcription: str, pattern: LinePattern) -> tuple[tuple[CutLine, ParsedLine | None], ...]:
    """Cut a page and parse its records in order; furniture and blanks come with None.

    Raises:
        BadInput: the pattern itself cannot be read.
    """
    compiled = compile_pattern(pattern)
    read: list[tuple[CutLine, ParsedLine | None]] = []
    previous: ParsedLine | None = None
    for line in cut(transcription, pattern):
        if line.kind != "record":
            read.append((line, None))
            continue
        previous = _parse(line, compiled, previous)
        read.append((line, previous))
    return tuple(read)


def _parse(line: CutLine, compiled: Compiled, previous: ParsedLine | None) -> ParsedLine:
    text = line.text
    reason = _not_a_record(line, compiled.pattern)
    if reason:
        return ParsedLine(rest=text, troubles=(Trouble(1, reason),))
    depths, odd = read_depths(text)
    end = LineState(compiled, text, depths, previous).without_end(0, len(text))
    first: ParsedLine | None = None
    furthest: Stop | None = None
    for number, layout in enumerate(compiled.record, 1):
        state = LineState(compiled, text, depths, previous)
        if odd is not None:
            state.trouble(odd, Problem.BRACKET(sign=text[odd]))
        found = layout.lay(text, 0, end, depths)
        if isinstance(found, Stop):
            if furthest is None or (len(found.found), found.at) > (len(furthest.found), furthest.at):
                furthest = found
            continue
        parsed = _build(state, found, number)
        if not parsed.troubles:
            return parsed
        first = first or parsed
    if first:
        return first
    return _unread(LineState(compiled, text, depths, previous), furthest or Stop(0, Expected.RECORD(), ()))


def _not_a_record(line: CutLine, pattern: LinePattern) -> CodedText:
    if line.kind != "record":
        return Problem.FURNITURE() if line.kind == "furniture" else Problem.BLANK()
    if len(line.text) > _LONGEST:
        return Problem.TOO_LONG(n=len(line.text))
    cutting = pattern.cutting
    if cutting.records == "margin" and indentation(line.raw) >= cutting.indent:
        return Problem.GOES_ON()
    return NOTHING_SAID


def _build(state: LineState, found: tuple[Span, ...], layout: int) -> ParsedLine:
    previous, compiled = state.previous, state.compiled
    headword = pronunciation = style = gloss = stem = ""
    variants: tuple[str, ...] = ()
    forms: tuple[ParsedForm, ...] = ()
    senses: tuple[Sense, ...] = ()
    see: tuple[str, ...] = ()
    labels: dict[str, str] = {}
    notes: list[str] = []
    for span in found:
        words = state.words(span.start, span.end)
        if span.part == "HEADWORD":
            stem = previous.stem if previous else ""
            above = previous.headword if previous and previous.layout else ""
            headword = state.undo_ditto(span.start, span.end, stem, above, HEADWORD)
            stem = stem if compiled.ditto and compiled.ditto.match(words) else headword
        elif span.part == "SENSES":
            senses, see_also = read_senses(state, span.start, span.end)
            see += see_also
        elif span.part == "VARIANTS":
            variants += read_variants(compiled, words)
        elif span.part == "SOUND":
            pronunciation = words
        elif span.part == "STYLE":
            style = state.style(span.start, span.end, STYLE)
        elif span.part == "FORMS":
            forms += read_forms(compiled, words)
        elif span.part == "SEE":
            see += read_see(state, span.start, span.end)
        elif span.part == "GLOSS":
            gloss = words
        elif span.part == "NOTE":
            notes.append(words)
        else:
            said = state.labels(span.start, span.end, span.part)
            labels |= said.values
            notes += said.unknown + said.remarks
    if gloss:
        senses = (replace(senses[0], gloss=gloss), *senses[1:]) if senses else (Sense(gloss=gloss),)
    return ParsedLine(
        headword=headword,
        variants=variants,
        part_of_speech=labels.get("part of speech", ""),
        gender=labels.get("gender", ""),
        number=labels.get("number", ""),
        pronunciation=pronunciation,
        style=style,
        forms=forms,
        senses=senses,
        see=see,
        note="; ".join(notes),
        troubles=tuple(sorted(state.troubles, key=lambda trouble: trouble.column)),
        printed=tuple(state.printed),
        layout=layout,
        stem=stem,
    )


def _unread(state: LineState, stop: Stop) -> ParsedLine:
    """What was read of a line that no layout fits, with the rest as it is."""
    parsed = _build(state, stop.found, 0)
    there = state.words(stop.at, stop.at + 24)
    why = (
        Problem.EXPECTED_BUT(part=stop.wanted, words=there)
        if there
        else Problem.EXPECTED_BUT_ENDS(part=stop.wanted)
    )
    trouble = Trouble(stop.at + 1, why)
    return replace(
        parsed,
        rest=state.text[stop.at :].strip(),
        troubles=(*parsed.troubles, trouble),
        stem="",
    )
