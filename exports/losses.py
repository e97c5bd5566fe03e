"""What an output leaves out: which fields of the record, why, and how many values in the exported records.

Each output has a table `LEFT_OUT` that maps the path of a field (`termbase.record.field_paths`) to the
reason. A test fills every field of every record with a marker and looks for it in every output. It fails if
a value is lost that no table lists, or if a table lists a value that is not lost.
"""

from collections import Counter
from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass
from functools import lru_cache
from types import MappingProxyType
from typing import Final, get_origin

from termbase.messages import joined, message
from termbase.record.field_paths import FieldPath, field_hints, parts_of, path_name

__all__ = [
    "BOOKKEEPING",
    "CARRIED",
    "EDITORS",
    "HERE",
    "IN_BACKUP",
    "NO_ADDRESS",
    "WHO_WAS_THERE",
    "LeftOut",
    "Loss",
    "Reasons",
    "loss_sentences",
    "named",
    "reason_for",
    "reason_table",
]  # fmt: skip

CARRIED: Final = ""
"""Used instead of a reason: the field is in the output although the rest of its record is not."""
BOOKKEEPING: Final = message("Used internally by the database.")
EDITORS: Final = message("It is only for the editors and is never printed or exported.")
HERE: Final = message("It is a print setting of this termbase only.")
NO_ADDRESS: Final = message("A picture stored in the termbase has no address that others can open.")
WHO_WAS_THERE: Final = message("Who was on the mat is not passed on to other systems.")
IN_BACKUP: Final = message("It records how the work was done, and is kept only here and in backups.")

Reasons = Mapping[str, str]
"""Why fields are not in an output, by path; if several paths match a field, the closest counts."""


def reason_table(*reasons: tuple[str, Sequence[str]]) -> Reasons:
    """Return the table of an output from each reason with the paths it applies to."""
    return MappingProxyType({path: why for why, paths in reasons for path in paths})


def reason_for(field: FieldPath, left_out: Reasons) -> str:
    """Return why a field is not in an output; empty if it is."""
    return left_out.get(field.covered_by(left_out), CARRIED)


@dataclass(frozen=True, slots=True)
class Loss:
    """A field or part that is not in a file: how many values, and why.

    Attributes:
        path: as in the table of the output.
        label: its name for readers, a message.
        number: how many.
        why: why it is left out.
    """

    path: str
    label: str
    number: int
    why: str


def named(path: str, label: str) -> str:
    """Return a label, with its kind of record if it is ambiguous on its own: `Place (slip)`; a message."""
    record = path.partition(".")[0]
    if record in label.lower():
        return message(label)
    return message("%(label)s (%(record)s)", label=message(label), record=message(record))


def loss_sentences(losses: Iterable[Loss]) -> tuple[str, ...]:
    """Return the losses in sentences, grouped by reason."""
    by_reason: dict[str, list[str]] = {}
    for loss in losses:
        by_reason.setdefault(loss.why, []).append(joined((loss.label, str(loss.number))))
    return tuple(
        joined((message("Left out: %(those)s.", those=joined(those, ", ")), message(str(why))))
        for why, those in by_reason.items()
    )


Count = Callable[[object, Counter[str]], None]


class LeftOut:
    """Counts what an output leaves out of the records it is made from.

    Args:
        table: the table of the output.
        quiet: reasons for which nothing is counted, since nobody misses these values.
    """

    def __init__(self, table: Reasons, quiet: Sequence[str] = (BOOKKEEPING,)) -> None:
        self._paths = frozenset(path for path, why in table.items() if why and why not in quiet)
        self._table = table
        self._counts: Counter[str] = Counter()

    def see(self, *records: object) -> None:
        """Count what is left out of these records."""
        for record in records:
            cls: type = type(record)
            if (whole := path_name(cls)) in self._paths:
                self._counts[whole] += 1
                continue
            for name, count in _counting(cls, self._paths):
                count(getattr(record, name), self._counts)

    def losses(self, label: Callable[[str], str]) -> tuple[Loss, ...]:
        """Return what was counted, in the order of the table; `label` returns the readers' name for a
        path."""
        return tuple(
            Loss(path, label(path), self._counts[path], self._table[path])
            for path in self._table
            if self._counts[path]
        )


@lru_cache(maxsize=256)
def _counting(cls: type, paths: frozenset[str]) -> tuple[tuple[str, Count], ...]:
    """Return, for each field of a record with something to count, the function that counts it."""
    return tuple(_of_part(cls, (), paths))


def _of_part(
    part: object, steps: tuple[tuple[type, str], ...], paths: frozenset[str]
) -> Iterable[tuple[str, Count]]:
    cls = get_origin(part) or part
    assert isinstance(cls, type)
    for name, hint in field_hints(part).items():
        field = FieldPath((*steps, (cls, name)))
        if own := next((name for name in field.names if name in paths), ""):
            yield name, _whole(own)
            continue
        inner: dict[type, Count] = {}
        for part in parts_of(hint):
            bare = get_origin(part) or part
            assert isinstance(bare, type)
            if (word := path_name(bare)) in paths:
                inner[bare] = _whole(word)
            elif within := tuple(_of_part(part, field.steps, paths)):
                inner[bare] = _within(within)
        if inner:
            yield name, _each(inner)


def _whole(path: str) -> Count:
    def count(value: object, counts: Counter[str]) -> None:
        if value not in (None, "", (), False):
            counts[path] += len(value) if isinstance(value, tuple) else 1

    return count


def _within(fields: tuple[tuple[str, Count], ...]) -> Count:
    def count(value: object, counts: Counter[str]) -> None:
        for name, inner in fields:
            inner(getattr(value, name), counts)

    return count


def _each(parts: Mapping[type, Count]) -> Count:
    def count(value: object, counts: Counter[str]) -> None:
        for member in value if isinstance(value, tuple) else (value,):
            if (inner := parts.get(type(member))) is not None:
                inner(member, counts)

    return count
