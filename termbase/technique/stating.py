"""Convert a profile to and from form values, attribute by attribute.

The table is derived from the profile's types, so an attribute or value added there is offered here.
"""

from collections.abc import Mapping
from dataclasses import dataclass, fields
from typing import Final, Literal, get_args, get_origin, get_type_hints

import msgspec

from termbase.errors import BadInput
from termbase.fields.closed_lists import one_of
from termbase.fields.declarations import Nested, fields_of
from termbase.fields.declarations import Statement as Stated
from termbase.messages import message
from termbase.technique.profile import NOT_STATED, Basis, Hand, Profile
from termbase.technique.profile import Stated as Said

__all__ = ["ATTRIBUTES", "BASES", "UNJUDGED", "Attribute", "StatementText", "profile_of", "statements_of"]

UNJUDGED: Final = tuple(f.name for f in fields_of(Profile) if not isinstance(f.is_a, Stated | Nested))
"""Fields of a profile that state nothing about how it is done."""
BASES: Final[tuple[Basis, ...]] = get_args(Basis)
YES, NO = "yes", "no"


@dataclass(frozen=True, slots=True)
class Attribute:
    """One attribute: its path (`leg_use`, `right.places`), its values, and whether it can have several."""

    path: str
    values: tuple[str, ...]
    several: bool


@dataclass(frozen=True, slots=True)
class StatementText:
    """What is stated about one attribute: values as words (`yes` and `no` for booleans) and their basis."""

    values: tuple[str, ...]
    basis: str = "reading"
    ref: str = ""


def statements_of(profile: Profile | None) -> dict[str, StatementText]:
    """Return what a profile states, by attribute path; unstated attributes are left out."""
    found = {}
    for attribute in ATTRIBUTES:
        said = _get(profile or NOT_STATED, attribute.path)
        if said is not None:
            found[attribute.path] = StatementText(_texts(said.value), said.basis, said.ref)
    return found


def profile_of(statements: Mapping[str, StatementText]) -> Profile:
    """Build the profile from these statements, without names and note; a statement without values is ignored.

    Raises:
        BadInput: there is no such attribute, value or basis; several values where one is asked for.
    """
    known = {attribute.path: attribute for attribute in ATTRIBUTES}
    own: dict[str, object] = {}
    hands: dict[str, dict[str, object]] = {"right": {}, "left": {}}
    for path, statement in statements.items():
        if path not in known:
            raise BadInput(
                message("There is no attribute “%(path)s”.", path=path),
                where=path,
                fix=message("Use one of the profile's attributes."),
            )
        values = tuple(v for v in statement.values if v)
        if values:
            hand, _, name = path.rpartition(".")
            (hands[hand] if hand else own)[name] = _said(known[path], values, statement)
    return msgspec.convert({**own, **hands}, Profile)


def _said(attribute: Attribute, values: tuple[str, ...], statement: StatementText) -> dict[str, object]:
    for value in values:
        wrong = message("“%(word)s” is not a valid value here.", word=value)
        one_of(attribute.values, value, wrong, where=attribute.path)
    if len(values) > 1 and not attribute.several:
        raise BadInput(
            message("Only one value is possible here."), where=attribute.path, fix=message("Choose one.")
        )
    wrong = message("A value cannot rest on “%(word)s”.", word=statement.basis)
    basis = one_of(BASES, statement.basis, wrong, where=attribute.path)
    stated: object = values if attribute.several else values[0]
    if attribute.values == (YES, NO):
        stated = values[0] == YES
    return {"value": stated, "basis": basis, "ref": " ".join(statement.ref.split())}


def _texts(value: object) -> tuple[str, ...]:
    if isinstance(value, bool):
        return (YES if value else NO,)
    return tuple(str(v) for v in value) if isinstance(value, tuple) else (str(value),)


def _get(profile: Profile, path: str) -> Said[object] | None:
    holder: object = profile
    for name in path.split("."):
        holder = getattr(holder, name)
    return holder if isinstance(holder, Said) else None


def _attributes() -> tuple[Attribute, ...]:
    found = []
    for holder, prefix in ((Hand, "right."), (Hand, "left."), (Profile, "")):
        hints = get_type_hints(holder)
        for each in fields(holder):
            if hints[each.name] is not Hand and each.name not in UNJUDGED:
                found.append(_attribute(prefix + each.name, hints[each.name]))
    return tuple(found)


def _attribute(path: str, hint: object) -> Attribute:
    (said,) = (a for a in get_args(hint) if a is not type(None))
    (value,) = get_args(said)
    several = get_origin(value) is tuple
    inner = get_args(value)[0] if several else value
    values = tuple(get_args(inner)) if get_origin(inner) is Literal else (YES, NO)
    return Attribute(path, values, several)


ATTRIBUTES: Final[tuple[Attribute, ...]] = _attributes()
"""Every attribute: the right hand's first, then the left hand's, then those of the bodies."""
