"""Cleaning and validating records, driven by their field declarations (`termbase.fields.declarations`).

`cleaned` normalises every text and validates every value, in the record and in all nested records. All faults
are reported at once, each with its path. Rules about a whole record are in `termbase.record.validation`.
"""

import re
import unicodedata
from collections.abc import Callable, Iterator
from dataclasses import dataclass, replace
from functools import cache, lru_cache
from itertools import compress
from operator import attrgetter, is_
from typing import Final, TypeVar

from termbase.dates import edtf
from termbase.errors import BadInput, Problems
from termbase.fields import notes
from termbase.fields.closed_lists import none_of_these
from termbase.fields.declarations import (
    EMPTY,
    LONGEST,
    Block,
    Date,
    DeclaredField,
    Field,
    Id,
    Items,
    Language,
    Line,
    Lines,
    Member,
    Members,
    Nested,
    Path,
    Reason,
    Reference,
    Statement,
    Text,
    Verbatim,
    fields_of,
    path_words,
)
from termbase.languages import folding, tags
from termbase.messages import message
from termbase.record.limits import too_long
from termbase.technique.profile import Stated

__all__ = ["block", "cleaned", "has_text", "language", "line", "sort_form", "verbatim"]

T = TypeVar("T")
Tidy = Callable[[str], str]
Step = Callable[[object], object]
"""Returns a value as it may be stored, the same object if nothing changes; raises `BadInput`."""

_HALVES: Final = re.compile("[\ud800-\udfff]")


def cleaned(record: T) -> T:
    """Return the record as it may be stored; the same object if nothing changes.

    Args:
        record: any record with declared fields.

    Raises:
        BadInput: something in it is invalid; all faults are reported, each with `path` and `where`.
    """
    try:
        return _clean(record)
    except BadInput:
        with Problems() as problems:
            for path, error in _faults(record, ()):
                where = path_words(record, path)
                problems.add(BadInput(error.what, where=where, fix=error.fix, path=path))
        raise


def verbatim(text: str) -> str:
    """Return a text verbatim: NFC, line ends as \\n.

    Raises:
        BadInput: it has characters that databases and XML cannot hold.
    """
    if "\0" in text or (not text.isascii() and _HALVES.search(text)):
        raise BadInput(
            message("The text contains invalid characters (NUL or half a character)."),
            where=message("text"),
            fix=message("Paste it again from the original, or save the file as UTF-8."),
        )
    if "\r" in text:
        text = text.replace("\r\n", "\n").replace("\r", "\n")
    return text if text.isascii() else unicodedata.normalize("NFC", text)


def block(text: str) -> str:
    """Return a text of several lines: NFC, no invisible characters, stripped.

    Raises:
        BadInput: as for `verbatim`.
    """
    return folding.clean(verbatim(text)).strip()


def line(text: str) -> str:
    """Return a text of one line: like `block`, with single spaces.

    Raises:
        BadInput: as for `verbatim`.
    """
    if text.isascii() and "\0" not in text:
        return " ".join(text.split())
    return " ".join(block(text).split())


def sort_form(text: str) -> str:
    """Return a text like `line`, but keep the character that separates two letters (U+034F).

    Raises:
        BadInput: as for `verbatim`.
    """
    return " ".join(folding.clean_sort_form(verbatim(text)).split())


def language(text: str) -> str:
    """Return a BCP 47 tag in canonical case, or an empty string.

    Raises:
        BadInput: it is not valid.
    """
    return tags.canonical(text) if text.strip() else ""


@lru_cache(maxsize=4096)
def date(text: str) -> str:
    """Return an EDTF date, or an empty string.

    Raises:
        BadInput: it is not valid.
    """
    stripped = text.strip()
    if stripped:
        edtf.parse(stripped)
    return stripped


def has_text(text: str) -> bool:
    """Whether a text is not empty after cleaning."""
    return bool(folding.clean(text).strip())


@dataclass(frozen=True, slots=True)
class _Plan:
    """How to clean the records of one class: all fields are read at once, and empty values are skipped
    without a call, since most fields of most records are empty.

    Attributes:
        values: reads the fields that need cleaning, single values of closed lists first.
        lists: the allowed values of each of these.
        needed: positions of the required fields.
        names, steps: the other fields.
        whole: names of all fields of the class, and their getter.
    """

    values: Callable[[object], tuple[object, ...]]
    lists: tuple[frozenset[object], ...]
    needed: tuple[int, ...]
    names: tuple[str, ...]
    steps: tuple[Step, ...]
    whole: tuple[tuple[str, ...], Callable[[object], tuple[object, ...]]]


def _clean(record: T) -> T:
    cls: type[T] = type(record)
    plan = _plan_of(cls)
    values = plan.values(record)
    for value, allowed in zip(values, plan.lists, strict=False):
        if value not in allowed:
            raise none_of_these(str(value))
    for place in plan.needed:
        if not values[place]:
            raise BadInput(EMPTY[0])
    others = values[len(plan.lists) :]
    changed: dict[str, object] | None = None
    for name, step, value in compress(zip(plan.names, plan.steps, others, strict=True), others):
        result = step(value)
        if result is not value and result != value:
            if changed is None:
                names, read = plan.whole
                changed = dict(zip(names, read(record), strict=True))
            changed[name] = result
    return record if changed is None else cls(**changed)


def _plan_of(cls: type) -> _Plan:
    plan = _plans.get(cls)
    if plan is None:
        plan = _plans[cls] = _build_plan(cls)
    return plan


_plans: dict[type, _Plan] = {}


def _build_plan(cls: type) -> _Plan:
    fields = fields_of(cls)
    closed = tuple(field for field in fields if isinstance(field.is_a, Member) and field.words)
    others = tuple((f, step) for f in fields if f not in closed and (step := _step_of(f)))
    read = (*closed, *(field for field, _ in others))
    everything = tuple(field.name for field in fields)
    return _Plan(
        values=_getter(tuple(field.name for field in read)),
        lists=tuple(map(_allowed, closed)),
        needed=tuple(n for n, field in enumerate(read) if field.is_a.needed and field not in closed),
        names=tuple(field.name for field, _ in others),
        steps=tuple(step for _, step in others),
        whole=(everything, _getter(everything)),
    )


def _allowed(field: DeclaredField) -> frozenset[object]:
    """Return the allowed values of a closed-list field."""
    return frozenset((*field.words, None) if field.optional else field.words)


def _getter(names: tuple[str, ...]) -> Callable[[object], tuple[object, ...]]:
    if len(names) > 1:
        return attrgetter(*names)
    return lambda record: tuple(getattr(record, name) for name in names)


def _faults(record: object, path: Path) -> Iterator[tuple[Path, BadInput]]:
    """Yield everything that is wrong in a record, each fault with its path."""
    cls: type = type(record)
    for field in fields_of(cls):
        here = (*path, field.name)
        value: object = getattr(record, field.name)
        if isinstance(field.is_a, Items | Nested) and value:
            for number, part in enumerate(value) if isinstance(value, tuple) else ((None, value),):
                yield from _faults(part, here if number is None else (*here, number))
        elif (step := _step_of(field)) and (value or field.is_a.needed or isinstance(field.is_a, Member)):
            try:
                step(value)
            except BadInput as error:
                yield here, error


@cache
def _step_of(field: DeclaredField) -> Step | None:
    """Return the cleaning step for a field; None if there is none."""
    match field.is_a:
        case Text():
            return _text_step(field, field.is_a)
        case Lines():
            return _lines_step(field.is_a)
        case Member() | Members():
            return _member_step(field)
        case Statement():
            return _statement_step(field)
        case Reason():
            return _clean_reason
        case Items() | Nested():
            return _records_step(field)
    return None


def _tidy_of(kind: Text) -> Tidy:
    match kind:
        case Verbatim():
            return verbatim
        case Block():
            return block
        case Language():
            return tags.canonical if kind.needed else language
        case Date():
            return line if kind.bookkeeping else date  # a code written by another version never blocks saving
        case Line():
            return sort_form if kind.parted else line
        case Id() | Reference():
            return line
    raise TypeError(f"{type(kind).__name__} does not say how its texts are cleaned.")


def _text_step(field: DeclaredField, kind: Text) -> Step:
    tidy, length, most, needed = _tidy_of(kind), kind.length, LONGEST[kind.length], kind.needed

    def step(value: object) -> object:
        if not isinstance(value, str):
            raise TypeError(f"{field.name} is {type(value).__name__}, not a text.")
        if len(value) > most:
            raise too_long(value, length)
        result = tidy(value)
        if needed and not result.strip():
            raise _missing(kind)
        if len(result) > most:
            raise too_long(result, length)
        return result

    return step


def _missing(field: Field) -> BadInput:
    what, fix = field.missing
    return BadInput(what, fix=fix)


def _lines_step(kind: Lines) -> Step:
    length, most = kind.length, LONGEST[kind.length]
    tidy = tags.canonical if kind.language else line

    def clean_one(text: str) -> str:
        if len(text) > most:
            raise too_long(text, length)
        result = tidy(text)
        if len(result) > most:
            raise too_long(result, length)
        return result

    def step(value: object) -> object:
        if not isinstance(value, tuple):
            raise TypeError(f"{type(value).__name__} is not a list of texts.")
        result = tuple(dict.fromkeys(filter(None, map(clean_one, value))))
        if kind.needed and not result:
            raise _missing(kind)
        return result

    return step


def _member_step(field: DeclaredField) -> Step:
    allowed = _allowed(field)

    def step(value: object) -> object:
        for item in value if isinstance(value, tuple) else (value,):
            if field.words and item not in allowed:
                raise none_of_these(str(item))
        return value

    return step


def _statement_step(field: DeclaredField) -> Step:
    words = frozenset(field.words)
    most = LONGEST["line"]

    def step(value: object) -> object:
        if not isinstance(value, Stated):
            raise TypeError(f"{field.name} is {type(value).__name__}, not a statement.")
        for item in value.value if isinstance(value.value, tuple) else (value.value,):
            if words and item not in words:
                raise none_of_these(str(item))
        if not value.ref:
            return value
        if len(value.ref) > most:
            raise too_long(value.ref, "line")
        ref = line(value.ref)
        return value if ref == value.ref else replace(value, ref=ref)

    return step


def _clean_reason(value: object) -> object:
    """Return a statement with a person's own words on one line; our codes are unchanged."""
    if not isinstance(value, notes.CodedText):
        raise TypeError(f"{type(value).__name__} is not a coded text.")
    if not value.text:
        return value
    if len(value.text) > LONGEST["line"]:
        raise too_long(value.text, "line")
    return notes.CodedText(text=line(value.text))


def _records_step(field: DeclaredField) -> Step:
    def step(value: object) -> object:
        if not value:
            if field.is_a.needed:
                raise _missing(field.is_a)
            return value
        if not isinstance(value, tuple):
            return _clean(value)
        result = tuple(map(_clean, value))
        return value if all(map(is_, result, value)) else result

    return step
