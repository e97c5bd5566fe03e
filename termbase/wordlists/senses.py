"""Reading the senses of a record: their numbers, glosses, equivalents, phrases, cross-references."""

import re
from collections.abc import Iterator
from dataclasses import dataclass, field

from termbase.codes.lines import Problem
from termbase.fields.declarations import Path
from termbase.record.lines import Equivalent, ParsedForm, ParsedLine, Phrase, Sense
from termbase.wordlists.compiling import Compiled
from termbase.wordlists.cutting import indentation
from termbase.wordlists.labels import LineState, read_forms
from termbase.wordlists.matching import Span, Stop

__all__ = ["read_equivalents", "read_see", "read_senses", "read_variants"]


# Equivalents: split from one another, and each into its parts.

_ABBREVIATION = re.compile(r"[^\W\d_]{1,4}\.")


def read_equivalents(
    state: LineState, start: int, end: int, part: Path, split: re.Pattern[str]
) -> tuple[Equivalent, ...]:
    """Read the equivalents between two offsets, parted by `split`; `part` says whose they are."""
    pieces = _pieces(state, start, end, split)
    equivalents: list[Equivalent] = []
    for piece_start, piece_end in pieces:
        name = (*part, "equivalents", len(equivalents))
        equivalents.append(_read(state, piece_start, piece_end, name, len(equivalents)))
    return tuple(equivalents)


def read_variants(compiled: Compiled, text: str) -> tuple[str, ...]:
    """Part other spellings at commas, semicolons and the word *or* of the pattern's languages."""
    return tuple(variant.strip() for variant in compiled.variants.split(text) if variant.strip())


def _pieces(state: LineState, start: int, end: int, split: re.Pattern[str]) -> list[tuple[int, int]]:
    """Part a stretch; a piece that is only labels or inflected forms stays with the one before it."""
    own = state.compiled.label_piece
    pieces: list[tuple[int, int]] = []
    place = start
    marks = state.outside(split, start, end)
    for mark_start, mark_end in [*marks, (end, end)]:
        piece = state.trim(place, mark_start)
        if piece[0] == piece[1]:
            if pieces and mark_start != end:
                state.trouble(mark_start, Problem.NOTHING_BETWEEN())
        elif pieces and own and own.match(state.text, place, mark_start):
            pieces[-1] = (pieces[-1][0], piece[1])
        elif own and _ABBREVIATION.fullmatch(state.text, *piece):
            pieces.append(piece)
            why = Problem.ABBREVIATION(word=state.words(*piece))
            state.trouble(piece[0], why)
        else:
            pieces.append(piece)
        place = mark_end
    return pieces


def _read(state: LineState, start: int, end: int, part: Path, index: int) -> Equivalent:
    """Read one equivalent by the layout that distinguishes most parts of it."""
    stop: Stop | None = None
    best: tuple[Span, ...] = ()
    for layout in state.compiled.equivalent:
        found = layout.lay(state.text, start, end, state.depths)
        if isinstance(found, Stop):
            stop = stop or found
        elif len(found) > len(best):
            best = found
            if len(found) == 1 and _is_plain(state, start, end):
                break
    if best:
        return _build(state, best, part, index)
    if stop:
        state.trouble(stop.at, Problem.EXPECTED(part=stop.wanted))
    return Equivalent(state.words(start, end))


def _is_plain(state: LineState, start: int, end: int) -> bool:
    """Whether no layout can find more than words: there is neither bracket, comma nor label."""
    piece = state.text[start:end]
    if any(sign in piece for sign in "([,;<{/"):
        return False
    label, form = state.compiled.label, state.compiled.form_label
    return not (label and label.search(piece)) and not (form and form.search(piece))


def _build(state: LineState, found: tuple[Span, ...], part: Path, index: int) -> Equivalent:
    if len(found) == 1 and state.compiled.ditto is None:
        return Equivalent(state.words(found[0].start, found[0].end))
    text = style = ""
    notes: list[str] = []
    forms: tuple[ParsedForm, ...] = ()
    variants: tuple[str, ...] = ()
    labels: dict[str, str] = {}
    for span in found:
        words = state.words(span.start, span.end)
        if span.part == "TEXT":
            above = _above(state.previous, index)
            text = state.undo_ditto(span.start, span.end, above, above, part)
        elif span.part == "FORMS":
            forms += read_forms(state.compiled, words)
        elif span.part == "VARIANTS":
            variants += read_variants(state.compiled, words)
        elif span.part == "STYLE":
            style = state.style(span.start, span.end, (*part, "style"))
        elif span.part == "NOTE":
            notes.append(words)
        else:
            said = state.labels(span.start, span.end, span.part, part)
            labels |= said.values
            notes += said.unknown + said.remarks
    return Equivalent(
        text,
        labels.get("gender", ""),
        labels.get("number", ""),
        forms,
        variants,
        "; ".join(notes),
        labels.get("part of speech", ""),
        style,
    )


def _above(previous: ParsedLine | None, index: int) -> str:
    """The equivalent at the same place of the line above, else its last one."""
    if previous is None:
        return ""
    texts = [equivalent.text for sense in previous.senses for equivalent in sense.equivalents]
    return texts[min(index, len(texts) - 1)] if texts else ""


_BETWEEN_TARGETS = re.compile(r"[,;]")
_Stretch = tuple[int, int]


@dataclass(slots=True)
class _Chunk:
    """The stretches of one sense, and those of its phrases."""

    number: str
    at: int
    stretches: list[_Stretch] = field(default_factory=list)
    phrases: list[_Stretch] = field(default_factory=list)


@dataclass(slots=True)
class _Reading:
    """One sense being put together."""

    style: str = ""
    gloss: str = ""
    note: str = ""
    equivalents: list[Equivalent] = field(default_factory=list)
    see: list[str] = field(default_factory=list)
    phrases: list[Phrase] = field(default_factory=list)


def read_senses(state: LineState, start: int, end: int) -> tuple[tuple[Sense, ...], tuple[str, ...]]:
    """Read the senses between two offsets; return them and the cross-references of the whole record.

    A record that only points elsewhere has no sense.
    """
    chunks = _chunks(state, start, end)
    numbered = any(chunk.number for chunk in chunks)
    if not numbered:
        chunks = _part_by_marks(state, chunks)
    senses: list[Sense] = []
    for chunk in chunks:
        sense = _read_sense(state, chunk, len(senses) + 1, numbered)
        only_see = sense.see and not (sense.equivalents or sense.gloss or sense.phrases)
        if only_see and not sense.number and senses:
            senses[-1] = _with_see(senses[-1], sense.see)
        elif only_see and not sense.number and len(chunks) == 1:
            return (), sense.see
        else:
            senses.append(sense)
    return tuple(senses), ()


def read_see(state: LineState, start: int, end: int) -> tuple[str, ...]:
    """Read the targets of a cross-reference, one or several."""
    targets = (target.strip(" \t\n.*_") for target in _BETWEEN_TARGETS.split(state.words(start, end)))
    return tuple(target for target in targets if target)


def _with_see(sense: Sense, see: tuple[str, ...]) -> Sense:
    return Sense(
        sense.number,
        sense.style,
        sense.gloss,
        sense.equivalents,
        sense.see + see,
        sense.note,
        sense.phrases,
    )


def _chunks(state: LineState, start: int, end: int) -> list[_Chunk]:
    chunks: list[_Chunk] = []
    for line_start, line_end in _printed_lines(state.text, start, end):
        if _is_phrase(state, line_start, line_end):
            if not chunks:
                chunks.append(_Chunk("", line_start))
            chunks[-1].phrases.append((line_start, line_end))
        else:
            _add_line(state, chunks, line_start, line_end)
    return chunks


def _printed_lines(text: str, start: int, end: int) -> Iterator[_Stretch]:
    while start < end:
        line_end = text.find("\n", start, end)
        line_end = end if line_end < 0 else line_end
        if text[start:line_end].strip():
            yield start, line_end
        start = line_end + 1


def _is_phrase(state: LineState, start: int, end: int) -> bool:
    if not state.compiled.phrase or state.text[start - 1 : start] != "\n":
        return False
    return indentation(state.text[start:end]) >= state.compiled.pattern.cutting.indent


def _add_line(state: LineState, chunks: list[_Chunk], start: int, end: int) -> None:
    """Add a line to the sense it goes on with, and begin a new one at each sense number."""
    begin, _ = state.trim(start, end)
    place = begin
    for number, at, after in _numbers(state, chunks, begin, end):
        if state.text[place:at].strip():
            _last(chunks, place).stretches.append((place, at))
        chunks.append(_Chunk(number, at))
        place = after
    if state.text[place:end].strip():
        _last(chunks, place).stretches.append((place, end))


def _last(chunks: list[_Chunk], at: int) -> _Chunk:
    if not chunks:
        chunks.append(_Chunk("", at))
    return chunks[-1]


def _numbers(state: LineState, chunks: list[_Chunk], begin: int, end: int) -> Iterator[tuple[str, int, int]]:
    """Sense numbers in a line: the next in order anywhere, any other only at its beginning."""
    if state.compiled.number is None:
        return
    before = next((chunk.number for chunk in reversed(chunks) if chunk.number), "")
    for hit in state.compiled.number.finditer(state.text, begin, end):
        number = hit.group(1)
        if number != _following(before, number):
            if hit.start() != begin:
                continue
            state.trouble(
                hit.start(),
                Problem.SENSE_AFTER(number=number, before=before)
                if before
                else Problem.SENSES_BEGIN(number=number),
            )
        elif state.depths is not None and state.depths[hit.start()]:
            continue
        before = number
        yield number, hit.start(), hit.end()


def _following(before: str, like: str) -> str:
    if like.isdigit():
        return str(int(before) + 1 if before.isdigit() else 1)
    return chr(ord(before) + 1) if before and not before.isdigit() else "a"


def _part_by_marks(state: LineState, chunks: list[_Chunk]) -> list[_Chunk]:
    """Split unnumbered senses at the marks between them."""
    sign = state.compiled.sense_split
    if sign is None:
        return chunks
    parted: list[_Chunk] = []
    for chunk in chunks:
        for start, end in chunk.stretches:
            place = start
            for mark_start, mark_end in [*state.outside(sign, start, end), (end, end)]:
                if state.text[place:mark_start].strip():
                    parted.append(_Chunk("", place, [(place, mark_start)]))
                place = mark_end
        if chunk.phrases:
            _last(parted, chunk.at).phrases.extend(chunk.phrases)
    return parted


def _read_sense(state: LineState, chunk: _Chunk, count: int, numbered: bool) -> Sense:
    reading = _Reading()
    part: Path = ("senses", count - 1)
    for start, end in chunk.stretches:
        close = state.without_end(start, end)
        for piece_start, piece_end in _take_see(state, start, close, reading):
            _read_stretch(state, piece_start, piece_end, reading, part, numbered)
    for start, end in chunk.phrases:
        reading.phrases.append(_read_phrase(state, start, end, (*part, "phrases", len(reading.phrases))))
    if not (reading.equivalents or reading.gloss or reading.see or reading.phrases):
        state.trouble(chunk.at, Problem.NOTHING_FOR_SENSE())
    return Sense(
        chunk.number,
        reading.style,
        reading.gloss,
        tuple(reading.equivalents),
        tuple(reading.see),
        reading.note,
        tuple(reading.phrases),
    )


def _take_see(state: LineState, start: int, end: int, reading: _Reading) -> list[_Stretch]:
    """Remove a cross-reference from a stretch of text; return the rest."""
    start, end = state.trim(start, end)
    if state.compiled.see is None:
        return [(start, end)]
    for hit in state.compiled.see.finditer(state.text, start, end):
        before = state.text[start : hit.start()].rstrip()
        word = hit.group().strip(" \t*_")
        if before and (before[-1] not in ",;:.(—–-" or word in state.compiled.tables["LABELS"]):
            continue
        close = end
        if before.endswith("("):
            close = state.text.find(")", hit.end(), end)
            if close < 0:
                continue
        reading.see += read_see(state, hit.end(), close)
        head_end = start + len(before[:-1] if before and before[-1] in ",;:(—–-" else before)
        pieces = [state.trim(start, head_end), state.trim(min(close + 1, end), end)]
        return [piece for piece in pieces if state.text[piece[0] : piece[1]].strip(" .")]
    return [(start, end)]


def _read_stretch(
    state: LineState, start: int, end: int, reading: _Reading, part: Path, numbered: bool
) -> None:
    """Lay the layouts of a sense over a stretch and read its parts."""
    stop: Stop | None = None
    for layout in state.compiled.sense:
        found = layout.lay(state.text, start, end, state.depths)
        if isinstance(found, Stop):
            stop = stop or found
            continue
        for span in found:
            _read_part(state, span, reading, part, numbered)
        return
    if stop:
        state.trouble(stop.at, Problem.EXPECTED(part=stop.wanted))
    text = state.words(start, end)
    reading.note = f"{reading.note}; {text}" if reading.note else text


def _read_part(state: LineState, span: Span, reading: _Reading, part: Path, numbered: bool) -> None:
    words = state.words(span.start, span.end)
    if span.part == "EQUIVALENTS":
        place = (*part, "phrases", len(reading.phrases) - 1) if _open_phrase(reading) else part
        split = state.compiled.split_all if numbered else state.compiled.split
        found = read_equivalents(state, span.start, span.end, place, split)
        if _open_phrase(reading):
            reading.phrases[-1] = Phrase(reading.phrases[-1].text, (), found)
        else:
            reading.equivalents += found
    elif span.part == "STYLE":
        reading.style = state.style(span.start, span.end, (*part, "style"))
    elif span.part == "GLOSS":
        reading.gloss = f"{reading.gloss} {words}".strip()
    elif span.part == "PHRASE":
        reading.phrases.append(Phrase(words))
    elif span.part == "SEE":
        reading.see += read_see(state, span.start, span.end)
    else:
        reading.note = f"{reading.note}; {words}" if reading.note else words


def _open_phrase(reading: _Reading) -> bool:
    """Whether a phrase waits for its equivalents."""
    return bool(reading.phrases) and not reading.phrases[-1].equivalents


def _read_phrase(state: LineState, start: int, end: int, part: Path) -> Phrase:
    start, end = state.trim(start, end)
    stop: Stop | None = None
    for layout in state.compiled.phrase:
        found = layout.lay(state.text, start, end, state.depths)
        if not isinstance(found, Stop):
            return _build_phrase(state, found, part)
        stop = stop or found
    if stop:
        state.trouble(stop.at, Problem.EXPECTED(part=stop.wanted))
    return Phrase(state.words(start, end))


def _build_phrase(state: LineState, found: tuple[Span, ...], part: Path) -> Phrase:
    text, note = "", ""
    forms: tuple[ParsedForm, ...] = ()
    equivalents: tuple[Equivalent, ...] = ()
    for span in found:
        words = state.words(span.start, span.end)
        if span.part == "PHRASE":
            text = words
        elif span.part == "FORMS":
            forms += read_forms(state.compiled, words)
        elif span.part == "EQUIVALENTS":
            equivalents += read_equivalents(state, span.start, span.end, part, state.compiled.split_all)
        else:
            note = f"{note}; {words}" if note else words
    return Phrase(text, forms, equivalents, note)
