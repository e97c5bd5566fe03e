"""exports/FIELDS.md: which field stands in which output, made from what each output says it leaves out.

`python -m app.fieldtable` writes it; a test fails when the file is out of date.
"""

from collections import Counter
from collections.abc import Iterator, Mapping
from pathlib import Path
from types import MappingProxyType
from typing import Final, get_origin

from app import leftout as shown
from exports.citations import leftout as works
from exports.glossary import leftout as glossary
from exports.losses import Because, reason_for
from exports.skos import leftout as skos
from exports.tables import leftout as tables
from exports.tbx import leftout as tbx
from termbase.fieldpaths import FieldPath, field_hints, parts_of, word_of
from termbase.store.rows import KINDS
from termbase.technique import Said

__all__ = ["FILE", "TABLES", "described"]

FILE: Final = Path(__file__).parent.parent / "exports" / "FIELDS.md"
TABLES: Final[Mapping[str, Because]] = MappingProxyType(
    {
        "table of names": tables.LEFT_OUT["names"],
        "table of entries": tables.LEFT_OUT["entries"],
        "table of slips": tables.LEFT_OUT["slips"],
        "TBX-Basic": tbx.BASIC,
        "TBX-Wordhold": tbx.WHOLE,
        "SKOS": skos.LEFT_OUT,
        "CSL-JSON": works.LEFT_OUT["csl-json"],
        "BibTeX, RIS": works.LEFT_OUT["bibtex"],
        "book, EPUB": glossary.BOOK,
        "site": glossary.SITE,
        "cards": glossary.CARDS,
        "`show`": shown.SHOWN,
        "`show --json`": shown.WHOLE_ENTRY,
        "`find --json`": shown.FOUND,
        "`source list --json`": shown.SOURCES,
        "`page lines --json`": shown.LINES,
        "`rules export`": shown.CODES,
        "`profiles export`": shown.PROFILES,
        "backup": MappingProxyType({}),
    }
)
"""What each output leaves out, by the words over its column."""

_HEAD: Final = """# Where every field of the record goes

<!-- Made from what each output says it leaves out, by `python -m app.fieldtable`; do not edit. -->

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
    return _HEAD + "\n".join((*lines, "", "## Why", "", *numbered, ""))


def _rows(word: str, part: object, steps: tuple[tuple[type, str], ...]) -> Iterator[Row]:
    """The rows of a part: one for each of its fields, or those of the parts within where they differ."""
    cls = get_origin(part) or part
    assert isinstance(cls, type)
    for name, hint in field_hints(part).items():
        field = FieldPath((*steps, (cls, name)))
        cells = {_cells(leaf) for leaf in _leaves(field, hint)}
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


def _leaves(field: FieldPath, hint: object) -> Iterator[FieldPath]:
    parts = list(parts_of(hint))
    if not parts:
        yield field
    for part in parts:
        bare = get_origin(part) or part
        assert isinstance(bare, type)
        for name, inner in field_hints(part).items():
            yield from _leaves(field.under(bare, name), inner)


def _cells(field: FieldPath) -> tuple[str, ...]:
    """Why each output leaves a field out; empty where it does not."""
    return tuple(str(reason_for(field, left_out)) for left_out in TABLES.values())


if __name__ == "__main__":
    FILE.write_text(described(), encoding="utf-8", newline="\n")
