"""Prepare a rule code for judging many techniques: clauses sorted by family, grips in a table."""

from dataclasses import dataclass, field
from typing import Final, Literal, TypeVar

from termbase.judging.body import covered, footwear, held_by, zone_holds
from termbase.judging.verdict import Truth
from termbase.rules.clauses import (
    ZONES,
    AnyClause,
    Footwear,
    GripRule,
    GroundRule,
    Holdable,
    KeepRule,
    LegRule,
    NamedRule,
    PressureRule,
    RuleCode,
    Stance,
    StartHold,
)
from termbase.technique.profile import KINDS, PLACES, Place, Where, kinds_of

__all__ = ["Cell", "GripTable", "Prepared", "prepare"]

C = TypeVar("C", bound=AnyClause)
Tried = TypeVar("Tried")

Spoken = Stance | Literal["not worn", "silent", "part", "where"]
"""*not worn*: nobody can hold it; *silent*: no clause covers the place; *part*: it depends on which part of
it is held; *where*: on whether it is held standing or on the ground."""


@dataclass(frozen=True, slots=True)
class Cell:
    """What the code says of one place.

    Attributes:
        spoken: leave, ban, unsettled, silent, or a matter of the part held.
        truth: True if leave, False if ban, else `None`.
        some: the same for the kindest of its kinds.
        clause: the clause that says so.
    """

    spoken: Spoken
    truth: Truth
    some: Truth
    clause: GripRule | None = None


GripTable = dict[Place, Cell]
_MEMORY: Final = 4096
SILENT: Final = Cell("silent", None, None)
_STRENGTH: Final[dict[Stance, int]] = {"barred": 3, "unsettled": 2, "allowed": 1}
_TRUTH: Final[dict[Stance, Truth]] = {"barred": False, "unsettled": None, "allowed": True}
_KEPT: Final = {"both hands": 4, "within a zone": 3, "one hand": 2, "free": 1, None: 0}


@dataclass(frozen=True, slots=True)
class Prepared:
    """A code with only the clauses that apply.

    Attributes:
        code: the code as it stands.
        starts: the start holds, alternatives to one another.
        held: for each start hold, the places its right and its left hand cover.
        keep: the strictest rule on keeping the hold.
        zone: the places a kept hold may shift to.
        grips: what may be held, standing, on the ground, and where that is not stated.
        flat_hand: a clause that lets a flat hand that does not grip go above the waist.
        ruled_grips: False if the code says nothing of the hands at all.
        feet: what is on the feet in the bout or else by the code; `None` if neither tells.
        legs, pressure, ground, named: the clauses of the other families, those by name with their names
            case-folded.
        tried: cached results, for profiles that share a part.
    """

    code: RuleCode
    starts: tuple[StartHold, ...]
    held: tuple[tuple[frozenset[Place], frozenset[Place]], ...]
    keep: KeepRule | None
    zone: frozenset[Place]
    grips: dict[Where | None, GripTable]
    flat_hand: GripRule | None
    ruled_grips: bool
    feet: Footwear | None
    legs: tuple[LegRule, ...]
    pressure: tuple[PressureRule, ...]
    ground: tuple[GroundRule, ...]
    named: tuple[tuple[NamedRule, frozenset[str]], ...]
    tried: dict[object, object] = field(default_factory=dict, compare=False, repr=False)

    def recall(self, key: object, kind: type[Tried]) -> Tried | None:
        """Return the cached value of a key, which must be of this type; None if there is none."""
        found = self.tried.get(key)
        if found is not None and not isinstance(found, kind):
            raise TypeError(f"no {kind.__name__}: {found!r}")
        return found

    def remember(self, key: object, found: Tried) -> Tried:
        """Cache a value; the cache is cleared when it is full."""
        if len(self.tried) >= _MEMORY:
            self.tried.clear()
        self.tried[key] = found
        return found


def prepare(code: RuleCode, clauses: tuple[AnyClause, ...], feet: Footwear | None = None) -> Prepared:
    """A code made ready with only *clauses* in force, in the order of their ids, for a bout with this on the
    feet; where the bout is not known, what the code says is worn stands."""
    starts = _family(clauses, StartHold)
    keeps = _family(clauses, KeepRule)
    grips = _family(clauses, GripRule)
    keep = max(keeps, key=lambda rule: _KEPT[rule.keep], default=None)
    standing, down = _table(grips, "standing"), _table(grips, "on the ground")
    return Prepared(
        code=code,
        starts=starts,
        held=tuple((covered(start.right), covered(start.left)) for start in starts),
        keep=keep,
        zone=covered(keep.zone) if keep else frozenset(),
        grips={"standing": standing, "on the ground": down, None: _either_place(standing, down)},
        flat_hand=next((rule for rule in grips if rule.flat_hand == "allowed"), None),
        ruled_grips=bool(starts or _rule_hands(grips) or (keep and keep.keep not in {None, "free"})),
        feet=feet
        or footwear(
            frozenset(garment for rule in grips for garment in rule.worn),
            frozenset(garment for rule in grips for garment in rule.not_worn),
        ),
        legs=_family(clauses, LegRule),
        pressure=_family(clauses, PressureRule),
        ground=_family(clauses, GroundRule),
        named=tuple(
            (rule, frozenset(name.casefold() for name in rule.names)) for rule in _family(clauses, NamedRule)
        ),
    )


def _family(clauses: tuple[AnyClause, ...], kind: type[C]) -> tuple[C, ...]:
    return tuple(clause for clause in clauses if isinstance(clause, kind))


def _rule_hands(rules: tuple[GripRule, ...]) -> bool:
    """Return whether any clause says where wrestlers may take hold, and not only what is on the feet."""
    return any(
        rule.allowed or rule.barred or rule.rest or rule.flat_hand or held_by((*rule.worn, *rule.not_worn))
        for rule in rules
    )


def _table(rules: tuple[GripRule, ...], where: Where) -> GripTable:
    here = [rule for rule in rules if rule.ground in {None, where}]
    single = {place: _cell(here, place) for place in PLACES}
    return {place: _genus(place, single) if place in KINDS else single[place] for place in PLACES}


def _cell(rules: list[GripRule], place: Place) -> Cell:
    """Return the most specific rule on a place; at the same level a ban outweighs a permission. A garment
    that is not worn cannot be held, whatever the rules say."""
    absent = next((rule for rule in rules if place in held_by(rule.not_worn)), None)
    if absent is not None:
        return Cell("not worn", False, False, absent)
    best: tuple[int, int, Stance, GripRule] | None = None
    for rule in rules:
        for level, stance in _said(rule, place):
            rank = (level, _STRENGTH[stance], stance, rule)
            if best is None or rank[:2] > best[:2]:
                best = rank
    if best is None:
        return Cell("allowed", True, True) if place in {"free", "own other hand"} else SILENT
    truth = _TRUTH[best[2]]
    return Cell(best[2], truth, truth, best[3])


def _said(rule: GripRule, place: Place) -> list[tuple[int, Stance]]:
    """Return what one rule says about a place and how specifically: 4 name, 3 genus, 2 zone, 1 border, 0
    rest."""
    said: list[tuple[int, Stance]] = []
    listed: tuple[tuple[tuple[Holdable, ...], Stance], ...] = (
        (rule.allowed, "allowed"),
        (rule.barred, "barred"),
    )
    for names, stance in listed:
        for name in names:
            level, certain = _level(name, place)
            if level:
                said.append((level, stance if certain else "unsettled"))
    if rule.rest and place not in {"free", "own other hand"}:
        said.append((0, rule.rest))
    return said


def _level(name: Holdable, place: Place) -> tuple[int, bool]:
    for zone in ZONES:
        if name == zone:
            inside = zone_holds(zone, place)
            return (2 if inside else 1, bool(inside)) if inside is not False else (0, False)
    if name == place:
        return 4, True
    return (3, True) if place in covered((name,)) else (0, False)


def _genus(place: Place, single: GripTable) -> Cell:
    named = kinds_of(place)
    kinds = [single[kind] for kind in (named[1:] if len(named) > 2 else named)]
    first = kinds[0]
    if all(cell.spoken == first.spoken for cell in kinds):
        own = single[place]
        return own if own.spoken == first.spoken else first
    some = True if any(cell.truth for cell in kinds) else None
    barring = next((cell for cell in kinds if cell.truth is False), first)
    return Cell("part", None, some, barring.clause)


def _either_place(standing: GripTable, down: GripTable) -> GripTable:
    """Return the table for a technique that does not state whether it is done on the ground."""
    return {
        place: cell
        if cell.truth == down[place].truth
        else Cell("where", None, None, cell.clause or down[place].clause)
        for place, cell in standing.items()
    }
