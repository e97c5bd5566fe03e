"""Reading the demo's files into typed rows, and its word-list pages into lines and their slips.

Errors name the file and field.
"""

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import fields, is_dataclass, replace
from importlib.resources.abc import Traversable
from itertools import count
from typing import TypeVar
from unicodedata import normalize

import msgspec

from termbase.demo.rows import DecisionRow
from termbase.errors import BadInput
from termbase.record.entries import Entry, Term
from termbase.record.pages import Line, LineState, Page
from termbase.record.sources import Slip, SlipKind, Source
from termbase.tomlfiles import read_toml
from termbase.wordlists.parsing import parse_page
from termbase.wordlists.pattern_files import read_pattern

__all__ = [
    "Headed",
    "file_text",
    "headword_slips",
    "lines_of",
    "named",
    "read_headed",
    "read_rows",
    "read_table",
]


T = TypeVar("T")


class Headed(msgspec.Struct, frozen=True):
    """A text preceded by `name: value` lines and a blank line."""

    fields: dict[str, str]
    text: str


def file_text(root: Traversable, path: str) -> str:
    """Return the text of a file in the folder.

    Raises:
        BadInput: it does not exist, is not UTF-8, or is not in Unicode NFC.
    """
    try:
        text = root.joinpath(path).read_text(encoding="utf-8")
    except FileNotFoundError as error:
        raise BadInput("The file is not there.", where=path, fix="Put it back, or name another.") from error
    except UnicodeDecodeError as error:
        raise BadInput("The file is not UTF-8.", where=path, fix="Save it as UTF-8.") from error
    if normalize("NFC", text) != text:
        raise BadInput("The text is not in Unicode NFC.", where=path, fix="Normalise the file.")
    return text


def named(root: Traversable, folder: str, ending: str) -> tuple[str, ...]:
    """Return the paths of a folder's files with this extension, by name."""
    result = (item.name for item in root.joinpath(folder).iterdir() if item.name.endswith(ending))
    return tuple(f"{folder}/{name}" for name in sorted(result))


def read_table(root: Traversable, path: str, kind: type[T]) -> T:
    """Return a whole TOML file as one row.

    Raises:
        BadInput: it is not TOML, or a field is missing, unknown or of the wrong kind.
    """
    document = read_toml(file_text(root, path), path)
    return _convert(document, kind, path)


def read_rows(root: Traversable, path: str, key: str, kind: type[T]) -> tuple[T, ...]:
    """Return the `[[key]]` rows of a TOML file, in order.

    Raises:
        BadInput: it is not TOML or holds anything else, or a row is invalid; the error names the row's id.
    """
    document = read_table(root, path, dict[str, list[dict[str, object]]])
    if set(document) != {key}:
        raise BadInput(f"Only [[{key}]] belongs here.", where=path, fix=f"Begin every row with [[{key}]].")
    return tuple(
        _convert(row, kind, f"{path}, {key} {row.get('id', number)}")
        for number, row in enumerate(document[key], 1)
    )


def read_headed(root: Traversable, path: str) -> Headed:
    """Return a text with the `name: value` lines above it.

    Raises:
        BadInput: a line above the first blank line has no colon, or no text follows.
    """
    head, _, body = file_text(root, path).partition("\n\n")
    pairs = [line.partition(":") for line in head.splitlines()]
    if not all(colon for _, colon, _ in pairs) or not body.strip():
        raise BadInput(
            "The lines `name: value` above, a blank line, or the text below are missing.",
            where=path,
            fix="Write the file like the others in its folder.",
        )
    return Headed({name.strip(): value.strip() for name, _, value in pairs}, body.strip() + "\n")


def _convert(value: object, kind: type[T], where: str) -> T:
    if is_dataclass(kind) and isinstance(value, dict):
        known = [field.name for field in fields(kind)]
        for name in sorted(value.keys() - known):
            raise BadInput(
                f"There is no field “{name}” here.", where=where, fix=f"The fields are: {', '.join(known)}."
            )
    try:
        return msgspec.convert(value, kind)
    except msgspec.ValidationError as error:
        what, _, path = str(error).partition(" - at `$")
        field = path.rstrip("`").lstrip(".")
        place = f"{where}, field {field}" if field else where
        raise BadInput(f"{what}.", where=place, fix="Correct the field.") from error


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
