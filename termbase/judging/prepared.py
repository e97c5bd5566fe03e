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
Cached = TypeVar("Cached")

CellStatus = Stance | Literal["not worn", "silent", "part", "where"]
"""*not worn*: nobody can hold it; *silent*: no clause covers the place; *part*: it depends on which part is
held; *where*: it depends on whether it is held standing or on the ground."""


@dataclass(frozen=True, slots=True)
class Cell:
    """What the code says about one place.

    Attributes:
        status: allowed, barred, unsettled, silent, or dependent on the part held.
        truth: True if allowed, False if barred, otherwise `None`.
        some: the same for the most leniently treated of its kinds.
        clause: the clause that says so.
    """

    status: CellStatus
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
        code: the whole code.
        starts: the start holds, which are alternatives.
        held: for each start hold, the places its right and its left hand cover.
        keep: the strictest rule on keeping the hold.
        zone: the places a kept hold may shift to.
        grips: what may be held standing, on the ground, and when that is not stated.
        flat_hand: a clause that allows a flat hand above the waist if it does not grip.
        ruled_grips: False if the code says nothing about the hands.
        feet: the footwear in the bout, or else under the code; `None` if neither says.
        legs, pressure, ground, named: the clauses of the other families; those by name with their names
            case-folded.
        cache: cached results, for profiles that share a part.
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
    cache: dict[object, object] = field(default_factory=dict, compare=False, repr=False)

    def recall(self, key: object, kind: type[Cached]) -> Cached | None:
        """Return the cached value of a key, which must be of this type; None if there is none."""
        cached = self.cache.get(key)
        if cached is not None and not isinstance(cached, kind):
            raise TypeError(f"no {kind.__name__}: {cached!r}")
        return cached

    def remember(self, key: object, value: Cached) -> Cached:
        """Cache a value; the cache is cleared when it is full."""
        if len(self.cache) >= _MEMORY:
            self.cache.clear()
        self.cache[key] = value
        return value


def prepare(code: RuleCode, clauses: tuple[AnyClause, ...], feet: Footwear | None = None) -> Prepared:
    """Prepare a code with only these clauses, in the order of their ids, for a bout with this footwear; if
    the bout is not known, the footwear under the code applies."""
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
    """Return whether any clause says where wrestlers may take hold, not only what is on the feet."""
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
        for level, stance in _stances(rule, place):
            rank = (level, _STRENGTH[stance], stance, rule)
            if best is None or rank[:2] > best[:2]:
                best = rank
    if best is None:
        return Cell("allowed", True, True) if place in {"free", "own other hand"} else SILENT
    truth = _TRUTH[best[2]]
    return Cell(best[2], truth, truth, best[3])


def _stances(rule: GripRule, place: Place) -> list[tuple[int, Stance]]:
    """Return what one rule says about a place and how specifically: 4 name, 3 genus, 2 zone, 1 border, 0
    rest."""
    stances: list[tuple[int, Stance]] = []
    listed: tuple[tuple[tuple[Holdable, ...], Stance], ...] = (
        (rule.allowed, "allowed"),
        (rule.barred, "barred"),
    )
    for names, stance in listed:
        for name in names:
            level, certain = _level(name, place)
            if level:
                stances.append((level, stance if certain else "unsettled"))
    if rule.rest and place not in {"free", "own other hand"}:
        stances.append((0, rule.rest))
    return stances


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
    if all(cell.status == first.status for cell in kinds):
        own = single[place]
        return own if own.status == first.status else first
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
