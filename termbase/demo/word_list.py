"""The word-list's pages: divided into lines by the pattern, with each line's state and slips."""

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import replace
from itertools import count

from termbase.demo.rows import DecisionRow
from termbase.errors import BadInput
from termbase.record.entries import Entry, Term
from termbase.record.pages import Line, LineState, Page
from termbase.record.sources import Slip, SlipKind, Source
from termbase.wordlists.parsing import parse_page
from termbase.wordlists.pattern_files import read_pattern

__all__ = ["headword_slips", "lines_of"]


def lines_of(page: Page, source: Source, decisions: Sequence[DecisionRow], ids: Iterator[str]) -> list[Line]:
    """Return the lines of a page, worked according to the decisions; `ids` yields the line ids.

    Raises:
        BadInput: a decision's line does not start as stated, or it has more or fewer than one outcome.
    """
    open_decisions = {d.line: d for d in decisions}
    lines: list[Line] = []
    for position, (cut, parsed) in enumerate(
        parse_page(page.transcription, read_pattern(source.pattern, f"line pattern of {source.label}")), 1
    ):
        if cut.kind == "blank":
            continue
        line = Line(next(ids), page.id, position, cut.raw, first=cut.first, parsed=parsed)
        decision = open_decisions.pop(cut.first, None)
        if decision is not None:
            line = _decided(line, decision, page)
        elif cut.kind == "furniture":
            line = replace(line, state=LineState.FURNITURE)
        else:
            line = replace(line, state=line.open_state())
        lines.append(line)
    for decision in open_decisions.values():
        raise _misplaced(decision, page)
    return lines


def headword_slips(
    lines: Iterable[Line], pages: Mapping[str, Page], entries: Mapping[str, Entry], first: int
) -> list[Slip]:
    """Return a slip for every name that a worked line gives to its entries; ids count from `first`."""
    numbers = count(first)
    slips: list[Slip] = []
    for line in lines:
        page = pages[line.page_id]
        for term, printed in _witnessed(line, entries):
            slips.append(
                Slip(
                    id=f"q{next(numbers)}",
                    source_id=page.source_id,
                    text=line.text.strip("\n"),
                    name=printed,
                    page=page.number,
                    line=str(line.first),
                    kind=SlipKind.HEADWORD,
                    term_id=term.id,
                )
            )
    return slips


def _decided(line: Line, decision: DecisionRow, page: Page) -> Line:
    outcomes = [bool(decision.made), bool(decision.attached), bool(decision.set_aside)]
    if not line.text.startswith(decision.begins):
        raise _misplaced(decision, page)
    if sum(outcomes) != 1:
        raise BadInput(
            "A line is made into entries, attached, or set aside.",
            where=f"page {page.number}, line {decision.line}",
            fix="Say one of made, attached, set_aside.",
        )
    if decision.set_aside:
        return replace(line, state=LineState.SET_ASIDE, reason=decision.set_aside)
    state = LineState.MADE if decision.made else LineState.ATTACHED
    return replace(line, state=state, entry_ids=decision.made or decision.attached)


def _misplaced(decision: DecisionRow, page: Page) -> BadInput:
    return BadInput(
        f"No line begins “{decision.begins}” there.",
        where=f"page {page.number}, line {decision.line}",
        fix="Count the printed lines again.",
    )


def _witnessed(line: Line, entries: Mapping[str, Entry]) -> list[tuple[Term, str]]:
    """Return the terms of the line's entries that it prints, each with the printed spelling."""
    parsed = line.parsed
    if parsed is None or not line.entry_ids:
        return []
    equivalents = [e.text for sense in parsed.senses for e in sense.equivalents]
    spellings = {_key(text): text for text in (parsed.headword, *equivalents)}
    terms = [term for entry_id in line.entry_ids for term in entries[entry_id].terms]
    result = [(t, spellings.get(_key(t.printed or t.text), spellings.get(_key(t.text)))) for t in terms]
    return [(term, printed) for term, printed in result if printed is not None]


def _key(text: str) -> str:
    """Return the spelling without hyphens and capitals, which the word-list uses inconsistently."""
    return text.replace("-", " ").casefold()
