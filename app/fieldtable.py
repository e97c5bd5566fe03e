"""exports/FIELDS.md: every output with its options, and which field stands in which, made from the table of
outputs and from what each says it leaves out.

`python -m app.fieldtable` writes it; a test fails when the file is out of date.
"""

from collections import Counter
from collections.abc import Iterator, Mapping
from pathlib import Path
from types import MappingProxyType
from typing import Final, get_origin

from app.leftout import BY_COMMAND
from exports.losses import Because, reason_for
from exports.options import Flag, Line, OneOf, Option, SomeOf
from exports.outputs import OUTPUTS, SELECTION, Output, because_named
from termbase.fieldpaths import FieldPath, field_hints, leaves_of, parts_of, word_of
from termbase.store.rows import KINDS
from termbase.technique import Said

__all__ = ["FILE", "TABLES", "described"]

FILE: Final = Path(__file__).parent.parent / "exports" / "FIELDS.md"


def _tables() -> Iterator[tuple[str, Because]]:
    """What each output leaves out, by the words over its column; one that leaves out nothing stands last."""
    columns = {column.heading: column.left_out for each in OUTPUTS.values() for column in each.columns}
    yield from ((heading, because_named(name)) for heading, name in columns.items() if name)
    yield from ((f"`{command}`", left_out) for command, left_out in BY_COMMAND.items())
    yield from ((heading, because_named(name)) for heading, name in columns.items() if not name)


TABLES: Final[Mapping[str, Because]] = MappingProxyType(dict(_tables()))
"""What each output leaves out, by the words over its column."""

_HEAD: Final = """# Every output, and where every field of the record goes

<!-- Made from the table of outputs (`exports/outputs.py`) and from what each says it leaves out, by
`python -m app.fieldtable`; do not edit. -->

All of these are also on the Publish page. Every command also takes `--json` and `--db`.

"""
_FIELDS: Final = """
## Where every field goes

One row for each field of the record, or for a part of it that every output treats as one. A name such as
`term.gender` is a part and its field; of a statement on a technique (`said`) the value stands under the name
of its field. `yes`: the output holds it, as a value, in words or summed up. A number: it does not, for the
reason of that number below. Tables are CSV and XLSX; SKOS is Turtle and JSON-LD; the book is PDF. A digest
covers what a backup holds.

"""
Row = tuple[str, str, tuple[str, ...]]
"""The name of a field in its part, its name from the record down, and why each output leaves it out."""


def described() -> str:
    """The text of the file."""
    every = [row for mapped in KINDS.values() for row in _rows(word_of(mapped.cls), mapped.cls, ())]
    alike = Counter(name for name, _ in {(name, cells) for name, _, cells in every})
    rows = dict.fromkeys((name if alike[name] == 1 else whole, cells) for name, whole, cells in every)
    reasons: dict[str, int] = {}
    for _, cells in rows:
        for why in cells:
            if why:
                reasons.setdefault(why, len(reasons) + 1)
    lines = [f"| Field | {' | '.join(TABLES)} |", f"| --- |{' --- |' * len(TABLES)}"]
    for name, cells in rows:
        told = " | ".join(str(reasons[why]) if why else "yes" for why in cells)
        lines.append(f"| `{name}` | {told} |")
    numbered = [f"{number}. {why}" for why, number in reasons.items()]
    outputs = ("| Output | What it does | Ends in | Options |", "| --- | --- | --- | --- |", *_outputs(), "")
    chosen = f"\n*What goes in*: {'; '.join(map(_option, SELECTION))}.\n"
    return (
        _HEAD + "\n".join(outputs) + chosen + _FIELDS + "\n".join((*lines, "", "## Why", "", *numbered, ""))
    )


def _outputs() -> Iterator[str]:
    """A row for each output: its command, its sentence, the endings of its files, what can be asked of it."""
    for output in OUTPUTS.values():
        words = " ".join(filter(None, ("wordhold", output.group, output.name)))
        place = "FOLDER" if output.folder else "FILE"
        path = f"-o {place}" if output.group else place
        chosen = ("*what goes in*",) if output.selects else ()
        own = (_option(each) for each in output.options if each.word and each not in SELECTION)
        options = "; ".join((*chosen, *own))
        yield f"| `{words} {path}` | {output.summary} | {_endings(output)} | {options} |"


def _endings(output: Output) -> str:
    told = [
        ending
        for each in output.options
        if isinstance(each, OneOf)
        for endings in each.endings.values()
        for ending in endings
    ]
    return (
        "" if output.folder else ", ".join(f"`{ending}`" for ending in dict.fromkeys(told or [output.suffix]))
    )


def _option(option: Option) -> str:
    """An option with its choices, and the one that holds where nothing is said."""
    told = [f"`{option.word}`"]
    if isinstance(option, OneOf | SomeOf) and option.choices:
        told.append(f"({', '.join(each.value for each in option.choices)})")
    elif not isinstance(option, Flag) and option.metavar:
        told = [f"`{option.word} {option.metavar}`"]
    if isinstance(option, OneOf | Line) and option.default:
        told.append(
            "(else by the file's ending)"
            if isinstance(option, OneOf) and option.endings
            else f"(else {option.default})"
        )
    return " ".join(told)


def _rows(word: str, part: object, steps: tuple[tuple[type, str], ...]) -> Iterator[Row]:
    """The rows of a part: one for each of its fields, or those of the parts within where they differ."""
    cls = get_origin(part) or part
    assert isinstance(cls, type)
    for name, hint in field_hints(part).items():
        field = FieldPath((*steps, (cls, name)))
        cells = {_cells(leaf) for leaf in leaves_of(field, hint)}
        if len(cells) == 1:
            yield f"{word}.{name}", str(field), cells.pop()
            continue
        for inner in parts_of(hint):
            bare = get_origin(inner) or inner
            assert isinstance(bare, type)
            if bare is Said:
                yield f"{word}.{name}", str(field), _cells(field.under(Said, "value"))
                yield from (row for row in _rows("said", inner, field.steps) if row[0] != "said.value")
            else:
                yield from _rows(word_of(bare), inner, field.steps)


def _cells(field: FieldPath) -> tuple[str, ...]:
    """Why each output leaves a field out; empty where it does not."""
    return tuple(str(reason_for(field, left_out)) for left_out in TABLES.values())


if __name__ == "__main__":
    FILE.write_text(described(), encoding="utf-8", newline="\n")
