"""Reading equivalents: parting them, and the parts of each."""

import re

from termbase.codes.lines import Problem
from termbase.fields.declarations import Path
from termbase.linepatterns.state import LineState
from termbase.record.lines import Equivalent, ParsedForm, ParsedLine
from termbase.wordlists.compiling import Compiled
from termbase.wordlists.labels import read_forms
from termbase.wordlists.matching import Span, Stop

__all__ = ["read_equivalents", "read_variants"]

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
    """Read one equivalent by the layout that tells the most parts of it apart."""
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
