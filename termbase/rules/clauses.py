"""Rule codes: what a body of rules says, clause by clause, in eight families.

A clause is a tagged record (the tag is its family), so a tuple of clauses converts to JSON and TOML and back
unchanged. `None` in a clause means that the clause is silent on that point, which neither allows nor bars it.
"""

import re
from dataclasses import dataclass
from typing import Annotated, Final, Literal, get_args

from msgspec import Struct

from termbase.errors import BadInput
from termbase.fields.declarations import (
    VERSION,
    Block,
    Count,
    Date,
    Flag,
    Id,
    Items,
    Line,
    Lines,
    Member,
    Members,
    Nested,
)
from termbase.messages import message
from termbase.technique.profile import (
    Contact,
    Direction,
    Facing,
    FirstDown,
    LegUse,
    LegWhen,
    Limb,
    Place,
    Pressure,
)

__all__ = [
    "EVERYWHERE",
    "FAMILIES",
    "FAMILY_OF",
    "HEIGHTS",
    "ZONES",
    "AnyClause",
    "Clause",
    "FallRule",
    "Family",
    "Footwear",
    "Garment",
    "GripRule",
    "GroundRule",
    "Height",
    "Holdable",
    "KeepRule",
    "LegRule",
    "Likeness",
    "Limits",
    "NamedRule",
    "PressureRule",
    "RuleCode",
    "Span",
    "Stance",
    "StartHold",
    "Touch",
    "Zone",
    "family",
    "years_of",
]


Stance = Literal["allowed", "barred", "unsettled"]
"""What a clause says about a thing; *unsettled*: the sources mention it without settling it."""

Zone = Literal[
    "anywhere",
    "clothing",
    "flesh",
    "above the waist",
    "below the waist",
    "legs",
]
Holdable = Place | Zone
Height = Literal["foot", "ankle", "shin", "knee", "thigh", "crotch", "hip", "waist", "chest", "neck", "head"]
"""Parts of the body from the ground upward; a limit includes the part it names."""

Footwear = Literal["barefoot", "stockinged", "shod"]
Garment = Literal["jacket", "shoulder strap", "belt", "trousers", "stockings", "shoes"]
"""Garments that rules mention; a jacket is any garment of the upper body made to be held."""

Touch = Literal["loses", "stops play", "costs a point", "nothing"]
"""What it costs the thrower to touch the ground first with anything but the feet."""

FallPart = Literal["shoulder", "hip", "back", "side", "seat", "knee", "hand", "anything but the feet"]
"""What must touch the ground for a fall."""

Family = Literal["start hold", "keeping", "grips", "legs", "pressure", "ground", "named", "fall"]

ZONES: Final[tuple[Zone, ...]] = get_args(Zone)
HEIGHTS: Final[tuple[Height, ...]] = get_args(Height)
FAMILIES: Final[tuple[Family, ...]] = get_args(Family)


class Limits(Struct, frozen=True, kw_only=True, omit_defaults=True):
    """Where, when and for whom a clause applies; an empty field limits nothing.

    Attributes:
        place: the place or body it is limited to, as named in the sources.
        years: EDTF: a year, an interval or an open interval (`1868`, `1868/1884`, `2013/..`).
        wrestlers: the class of wrestler: "boys", "under 15", "women".
    """

    place: Annotated[str, Line()] = ""
    years: Annotated[str, Date()] = ""
    wrestlers: Annotated[str, Line()] = ""


EVERYWHERE: Final = Limits()


class Clause(Struct, frozen=True, kw_only=True, omit_defaults=True, tag_field="family"):
    """The fields that every clause has.

    Attributes:
        id: unique within its code.
        sources: labels or ids of the sources that give it.
        words: the rule in the source's own words; shown and printed as a quotation, never judged.
        limits: where, when and for whom it applies.
    """

    id: Annotated[str, Id(title=True)]
    sources: Annotated[tuple[str, ...], Lines("source")] = ()
    words: Annotated[str, Block()] = ""
    limits: Annotated[Limits, Nested()] = EVERYWHERE


class StartHold(Clause, frozen=True, kw_only=True, omit_defaults=True, tag="start hold"):
    """Family 1, the hold the bout starts from.

    Attributes:
        right, left: where each hand holds; any one of several places; if empty, that hand is free.
        first: which hand takes hold first.
        left_handed: whether the same hold may be taken with the hands swapped; *by consent* is judged as
            allowed, since the two wrestlers can agree to it.
    """

    right: Annotated[tuple[Holdable, ...], Members()] = ()
    left: Annotated[tuple[Holdable, ...], Members()] = ()
    first: Annotated[Literal["right", "left", "both together", "either"] | None, Member()] = None
    left_handed: Annotated[Stance | Literal["by consent"] | None, Member()] = None


class KeepRule(Clause, frozen=True, kw_only=True, omit_defaults=True, tag="keeping"):
    """Family 2, whether the start hold must be kept, and what losing it costs.

    Attributes:
        keep: what must be kept until he is down.
        zone: for *within a zone*, the places a hand may shift to.
        shifts: for *within a zone*, the hand that may shift while the other stays; if silent, either may.
        loss: what losing the hold costs, apart from whether it may be lost.
    """

    keep: Annotated[Literal["both hands", "one hand", "within a zone", "free"] | None, Member()] = None
    zone: Annotated[tuple[Holdable, ...], Members()] = ()
    shifts: Annotated[Literal["right", "left"] | None, Member()] = None
    loss: Annotated[Literal["the fall", "a point", "a restart", "nothing"] | None, Member()] = None


class GripRule(Clause, frozen=True, kw_only=True, omit_defaults=True, tag="grips"):
    """Family 3, where wrestlers may take hold, and what they wear that may be held.

    Attributes:
        allowed, barred: places and zones; a named place outweighs its genus, and a genus its zone.
        rest: what applies to every place in neither list.
        flat_hand: whether a flat hand that pushes or steers without gripping is allowed above the waist.
        ground: limits the clause to wrestling standing or on the ground.
        worn, not_worn: what is worn and what is not; the clause is silent on garments in neither list.
            Nobody can hold what is not worn; shoes and stockings give the footwear for leg clauses that
            depend on it.
    """

    allowed: Annotated[tuple[Holdable, ...], Members()] = ()
    barred: Annotated[tuple[Holdable, ...], Members()] = ()
    rest: Annotated[Stance | None, Member()] = None
    flat_hand: Annotated[Stance | None, Member()] = None
    ground: Annotated[Literal["standing", "on the ground"] | None, Member()] = None
    worn: Annotated[tuple[Garment, ...], Members()] = ()
    not_worn: Annotated[tuple[Garment, ...], Members()] = ()


class LegRule(Clause, frozen=True, kw_only=True, omit_defaults=True, tag="legs"):
    """Family 4, what the legs may do.

    Attributes:
        stance: allowed, barred, or unsettled.
        uses: the uses of the leg; *any* is every use except placing it beside his.
        height: allowed up to this part of him and no higher; for a ban, barred above this part only.
        feet_only: the height applies to the foot and not to the rest of the leg.
        when: limits the clause to the time while he is on the ground, or once he is off it.
        footwear: limits the clause to bouts with this footwear.
    """

    stance: Annotated[Stance, Member()]
    uses: Annotated[tuple[LegUse | Literal["any"], ...], Members()] = ("any",)
    height: Annotated[Height | None, Member()] = None
    feet_only: Annotated[bool, Flag()] = False
    when: Annotated[LegWhen | None, Member()] = None
    footwear: Annotated[Footwear | None, Member()] = None


class PressureRule(Clause, frozen=True, kw_only=True, omit_defaults=True, tag="pressure"):
    """Family 5, pressure on joints, neck and throat, and grips that only hurt.

    Attributes:
        allowed, barred, unsettled: what is pressed; a named joint outweighs *joint*, which outweighs *any*.
    """

    allowed: Annotated[tuple[Pressure | Literal["any"], ...], Members()] = ()
    barred: Annotated[tuple[Pressure | Literal["any"], ...], Members()] = ()
    unsettled: Annotated[tuple[Pressure | Literal["any"], ...], Members()] = ()


class GroundRule(Clause, frozen=True, kw_only=True, omit_defaults=True, tag="ground"):
    """Family 6, the ground.

    Attributes:
        work: whether wrestling continues on the ground.
        touch: what it costs the thrower to touch first.
        both: what happens when both touch together.
        fall_on_him: whether the thrower may come down on him.
    """

    work: Annotated[Stance | None, Member()] = None
    touch: Annotated[Touch | None, Member()] = None
    both: Annotated[Literal["loses", "wrestled again", "counts", "nothing"] | None, Member()] = None
    fall_on_him: Annotated[Stance | None, Member()] = None


class Likeness(Struct, frozen=True, kw_only=True, omit_defaults=True):
    """What the technique of a named rule looks like: the technique must match one value of every list that is
    not empty.

    Attributes:
        leg_use: what the leg does to him.
        limb: the part of the wrestler that works on him.
        limb_side: of which side.
        contact: a part of him that it touches.
        facing: how the wrestler stands in relation to him at the decisive moment.
        off_balance: the direction in which his balance is broken, as he sees it.
        first_down: who first touches the ground with anything but the feet.
        pressure: what is pressed or bent to make him yield or go.
        falls_on_him: whether the thrower comes down on top of him.
    """

    leg_use: Annotated[tuple[LegUse, ...], Members()] = ()
    limb: Annotated[tuple[Limb, ...], Members()] = ()
    limb_side: Annotated[tuple[Literal["right", "left", "both"], ...], Members()] = ()
    contact: Annotated[tuple[Contact, ...], Members()] = ()
    facing: Annotated[tuple[Facing, ...], Members()] = ()
    off_balance: Annotated[tuple[Direction, ...], Members()] = ()
    first_down: Annotated[tuple[FirstDown, ...], Members()] = ()
    pressure: Annotated[tuple[Pressure, ...], Members()] = ()
    falls_on_him: Annotated[tuple[bool, ...], Members()] = ()


class NamedRule(Clause, frozen=True, kw_only=True, omit_defaults=True, tag="named"):
    """Family 7, techniques allowed or barred by name, or by consent for one bout.

    Attributes:
        stance: allowed, barred, or unsettled.
        names: the techniques named.
        like: what they look like, so that the rule also covers them under another name.
        by_consent: the two wrestlers may bar what they agree on before the bout.
    """

    stance: Annotated[Stance, Member()]
    names: Annotated[tuple[str, ...], Lines()] = ()
    like: Annotated[Likeness | None, Nested()] = None
    by_consent: Annotated[bool, Flag()] = False


class FallRule(Clause, frozen=True, kw_only=True, omit_defaults=True, tag="fall"):
    """Family 8, what counts as a fall. It says how a bout is won and breaks no technique.

    Attributes:
        parts: what must touch; a part named twice means both of a pair.
        number: how many of the parts must touch.
        together: True if at the same time, False if one after another also counts.
        other: other ways to win: lifting him clear, putting him out of the ring.
        part_falls: what scores less than a fall and adds up, in words.
    """

    parts: Annotated[tuple[FallPart, ...], Members()] = ()
    number: Annotated[int | None, Count()] = None
    together: Annotated[bool | None, Flag()] = None
    other: Annotated[tuple[Literal["lift", "ring-out"], ...], Members()] = ()
    part_falls: Annotated[str, Line()] = ""


AnyClause = StartHold | KeepRule | GripRule | LegRule | PressureRule | GroundRule | NamedRule | FallRule


_NAME: Final = Line(
    needed=True,
    length="name",
    title=True,
    missing=(message("The rule code has no name."), message("Give it the name it is known by.")),
)


@dataclass(frozen=True, slots=True)
class RuleCode:
    """A body of rules as its sources give it.

    Attributes:
        id: `r01`; assigned once.
        name: its name in the sources.
        place, period: where and when (EDTF) it was in force.
        note: free text, not judged.
        clauses: what it says; it is silent on whatever no clause covers.
        sources: labels or ids of the sources of the code as a whole.
        version: counts the changes; the store maintains it.
    """

    id: Annotated[str, Id(bookkeeping=True)]
    name: Annotated[str, _NAME]
    place: Annotated[str, Line()] = ""
    period: Annotated[str, Date()] = ""
    note: Annotated[str, Block()] = ""
    clauses: Annotated[tuple[AnyClause, ...], Items("clause")] = ()
    sources: Annotated[tuple[str, ...], Lines("source")] = ()
    version: Annotated[int, VERSION] = 0


FAMILY_OF: Final[dict[type[AnyClause], Family]] = {
    StartHold: "start hold",
    KeepRule: "keeping",
    GripRule: "grips",
    LegRule: "legs",
    PressureRule: "pressure",
    GroundRule: "ground",
    NamedRule: "named",
    FallRule: "fall",
}
"""The family of each kind of clause: its tag in JSON and TOML."""


def family(clause: AnyClause) -> Family:
    """Return the family a clause belongs to."""
    return FAMILY_OF[type(clause)]


# Read the years that a limit or a period spans. Limits are never finer than years.

Span = tuple[int | None, int | None]
"""First and last year, inclusive; `None` means open on that side."""

_YEAR: Final = re.compile(r"(?P<year>-?\d{2}[\dX]{2})(?:-\d{2}){0,2}[?~%]?")


def years_of(edtf: str) -> Span:
    """Return the years that an EDTF date or interval spans: `1868`, `186X`, `1868/1884`, `2013/..`, empty
    for all years.

    Raises:
        BadInput: it is neither a date nor an interval that begins with a four-digit year, or the interval
            ends before it begins.
    """
    if not edtf:
        return (None, None)
    start, slash, end = edtf.partition("/")
    first = _bound(start, "0", edtf)
    last = _bound(end if slash else start, "9", edtf)
    if first is not None and last is not None and last < first:
        raise BadInput(
            message("“%(edtf)s” ends before it begins.", edtf=edtf),
            where=message("years"),
            fix=message("Write the earlier year first: %(end)s/%(start)s.", end=end, start=start),
        )
    return (first, last)


def _bound(text: str, digit: str, whole: str) -> int | None:
    if text in {"", ".."}:
        return None
    match = _YEAR.fullmatch(text)
    if not match:
        raise BadInput(
            message("“%(whole)s” is not a year or an interval of years.", whole=whole),
            where=message("years"),
            fix=message("Write 1868, 1868/1884 or 2013/.. (EDTF)."),
        )
    return int(match["year"].replace("X", digit))
