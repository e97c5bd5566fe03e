"""Paths of record fields, as used in tables about fields: `term.gender`.

A field can be named from the record down (`entry.terms.gender`) or from any part on the way (`term.gender`):
the first names one place, the second every place with such a part. What a table says about a path also
applies to everything below it, unless a more specific path is listed.
"""

import dataclasses
import re
from collections.abc import Collection, Iterator
from dataclasses import dataclass
from functools import cache, cached_property
from types import UnionType
from typing import Annotated, Final, TypeVar, Union, get_args, get_origin, get_type_hints

import msgspec

from termbase.fields.notes import CodedText
from termbase.record.entries import Entry, InflectedForm, Signature
from termbase.record.foreign_notes import ForeignNote
from termbase.rules.clauses import RuleCode
from termbase.technique.profile import Profile, Stated

__all__ = ["FieldPath", "field_hints", "is_part", "leaves_of", "parts_of", "path_name", "paths_of"]

_WORDS: Final[dict[type, str]] = {
    RuleCode: "code", InflectedForm: "form", Stated: "said", ForeignNote: "note", Signature: "reading",
    Profile: "technique",
}  # fmt: skip
_CAPITAL: Final = re.compile(r"(?<=[a-z])(?=[A-Z])")


@dataclass(frozen=True)
class FieldPath:
    """A field, from the record down.

    Attributes:
        steps: each class on the way with its field name; the field itself is last.
    """

    steps: tuple[tuple[type, str], ...]

    def __str__(self) -> str:
        return self.names[0]

    def under(self, cls: type, name: str) -> "FieldPath":
        """Return a field of the part that this field holds."""
        return FieldPath((*self.steps, (cls, name)))

    @cached_property
    def names(self) -> tuple[str, ...]:
        """All its names: from the record down, then from each part on the way.

        A field in a copy of an entry inside another record has only the first.
        """
        fields = [name for _, name in self.steps]
        in_a_copy = any(cls is Entry for cls, _ in self.steps[1:])
        starts = self.steps[:1] if in_a_copy else self.steps
        return tuple(".".join((path_name(cls), *fields[n:])) for n, (cls, _) in enumerate(starts))

    @cached_property
    def _covering(self) -> tuple[str, ...]:
        """Every path that names this field or a part that contains it, the closest first."""
        result: list[tuple[int, str]] = []
        for n, name in enumerate(self.names):
            parts = name.split(".")
            result += ((n + k, ".".join(parts[: k + 1])) for k in range(len(parts)))
        return tuple(name for _, name in sorted(result, key=lambda pair: -pair[0]))

    def covered_by(self, paths: Collection[str]) -> str:
        """Return the closest of these paths that names this field or a part that contains it, or an empty
        string."""
        return next((name for name in self._covering if name in paths), "")


def path_name(cls: type) -> str:
    """Return the name of a class in paths: `Term` is `term`, `FoldedName` is `folded_name`."""
    return _WORDS.get(cls) or _CAPITAL.sub("_", cls.__name__).lower()


def is_part(hint: object) -> bool:
    """Whether a type is a record or part of one: it has fields of its own."""
    cls = get_origin(hint) or hint
    if cls is CodedText:  # a reason is shown as one value
        return False
    return isinstance(cls, type) and (dataclasses.is_dataclass(cls) or issubclass(cls, msgspec.Struct))


@cache
def field_hints(part: object) -> dict[str, object]:
    """Return the types of a part's fields, in order; generic parameters are filled in."""
    cls = get_origin(part) or part
    assert isinstance(cls, type)
    hints: dict[str, object] = get_type_hints(cls)
    names = (
        [f.name for f in dataclasses.fields(cls)]
        if dataclasses.is_dataclass(cls)
        else list(getattr(cls, "__struct_fields__"))  # noqa: B009 - of every msgspec.Struct
    )
    filled = dict(zip(getattr(cls, "__parameters__", ()), get_args(part), strict=False))
    return {name: filled.get(hints[name], hints[name]) for name in names}


def parts_of(hint: object) -> Iterator[object]:
    """Yield the parts that a field of this type holds, through unions, tuples and annotations."""
    if is_part(hint):
        yield hint
    elif get_origin(hint) in (UnionType, Union, tuple, Annotated):
        for inner in get_args(hint):
            if not isinstance(inner, TypeVar):
                yield from parts_of(inner)


def paths_of(cls: type) -> Iterator[FieldPath]:
    """Yield every leaf field of a record and its parts, in order."""
    for name, hint in field_hints(cls).items():
        yield from leaves_of(FieldPath(((cls, name),)), hint)


def leaves_of(path: FieldPath, hint: object) -> Iterator[FieldPath]:
    """Yield the field itself if its type holds no parts, else every leaf field of its parts."""
    parts = list(parts_of(hint))
    if not parts:
        yield path
    for part in parts:
        cls = get_origin(part) or part
        assert isinstance(cls, type)
        for name, inner in field_hints(part).items():
            yield from leaves_of(path.under(cls, name), inner)
