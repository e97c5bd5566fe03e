"""The mechanical profile of a technique: what the hands, the legs and the two bodies do.

A profile is a set of statements, each with its provenance. An attribute that is `None` is *not stated*;
that is not the same as a stated "none". Sides and directions of *his* body are as he sees them; the hands are
the wrestler's own. Everything here is plain data, for judging, drawing and printing.
"""

import re
from dataclasses import dataclass, replace
from typing import Annotated, Final, Generic, Literal, TypeVar, get_args

from termbase.fields.declarations import Block, Lines, Nested, Statement

__all__ = [
    "CONTACTS",
    "DIRECTIONS",
    "KINDS",
    "LEG_USES",
    "LIMBS",
    "NOT_STATED",
    "PLACES",
    "PRESSURES",
    "REFERRED_ID",
    "USE_KINDS",
    "WORKS",
    "Basis",
    "Contact",
    "Direction",
    "Facing",
    "FirstDown",
    "Hand",
    "Inward",
    "LeftForm",
    "LegUse",
    "LegWhen",
    "Limb",
    "NamedProfile",
    "Place",
    "Pressure",
    "Profile",
    "Side",
    "Stated",
    "Where",
    "Work",
    "kinds_of",
    "mirror",
]

T_co = TypeVar("T_co", covariant=True)

REFERRED_ID: Final = re.compile(r"[^\s,;]+")
"""One id in the `ref` of a statement based on slips or trials."""

Basis = Literal["slip", "trial", "analogue", "reading"]
"""Where a value comes from; *reading* is the editor's own reading of the evidence."""

Place = Literal[
    "jacket",
    "collar",
    "lapel",
    "shoulder cloth",
    "shoulder strap",
    "sleeve",
    "elbow cloth",
    "back cloth",
    "front cloth",
    "belt",
    "belt front",
    "belt near side",
    "belt far side",
    "belt back",
    "trouser cloth",
    "arm",
    "upper arm",
    "forearm",
    "wrist",
    "fingers",
    "head",
    "hair",
    "ear",
    "neck",
    "throat",
    "round the body",
    "round the body over the arm",
    "round the body under the arm",
    "leg",
    "thigh",
    "knee",
    "ankle",
    "foot",
    "crotch",
    "own other hand",
    "free",
]
"""What a hand holds. *jacket*, *belt*, *arm*, *leg*, *shoulder cloth* and *round the body* name a genus
whose kinds are in KINDS. A belt's near side is the side of the hand that holds it. *crotch* is an arm
passed between his legs; *free* a hand that holds nothing."""

Work = Literal["pull", "push", "lift", "steer", "lock", "hold only"]
LegUse = Literal[
    "none", "placed", "trip", "block", "hook", "reap", "sweep", "stroke", "kick", "lift", "foot on the body"
]
"""What a leg does. *trip* and *stroke* leave the kind open (USE_KINDS): which trip it is, whether the stroke
of the foot kicks or sweeps; *placed* is a leg set between or beside his without working on him; a sweep is
not a kick."""

LegWhen = Literal["with him on the ground", "once he is off it"]
Limb = Literal[
    "leg", "foot", "sole", "heel", "shin", "calf", "knee", "thigh", "hip", "back", "shoulder", "arm", "trunk"
]
Contact = Literal[
    "foot",
    "heel",
    "ankle",
    "shin",
    "calf",
    "knee",
    "leg",
    "inner thigh",
    "outer thigh",
    "thigh",
    "crotch",
    "hip",
    "belly",
    "trunk",
    "chest",
    "shoulder",
    "arm",
    "neck",
    "head",
]
"""Where the working limb touches him; *leg* is anywhere between foot and thigh."""

Inward = Literal["inside", "outside"]
Facing = Literal["front", "side", "back to him", "behind him", "same way"]
Direction = Literal[
    "forward",
    "right forward",
    "right",
    "right backward",
    "backward",
    "left backward",
    "left",
    "left forward",
    "up",
    "none",
]
FirstDown = Literal["he", "both", "thrower"]
Pressure = Literal[
    "none",
    "joint",
    "shoulder",
    "elbow",
    "wrist",
    "fingers",
    "spine",
    "hip",
    "knee",
    "ankle",
    "neck",
    "throat",
    "pain",
]
"""What can be pressed. *joint* is any of shoulder to ankle (which joint is not stated); *neck* is a crank or
pressure on it, *throat* a strangle, *pain* a grip that only hurts."""

Where = Literal["standing", "on the ground"]
Side = Literal["right", "left", "both"]
LeftForm = Literal["same", "none"]
"""*same*: it is done to either side; *none*: it is known to be done to one side only."""

PLACES: Final[tuple[Place, ...]] = get_args(Place)
WORKS: Final[tuple[Work, ...]] = get_args(Work)
LEG_USES: Final[tuple[LegUse, ...]] = get_args(LegUse)
LIMBS: Final[tuple[Limb, ...]] = get_args(Limb)
CONTACTS: Final[tuple[Contact, ...]] = get_args(Contact)
DIRECTIONS: Final[tuple[Direction, ...]] = get_args(Direction)
PRESSURES: Final[tuple[Pressure, ...]] = get_args(Pressure)

KINDS: Final[dict[Place, tuple[Place, ...]]] = {
    "jacket": (
        "collar",
        "lapel",
        "shoulder cloth",
        "shoulder strap",
        "sleeve",
        "elbow cloth",
        "back cloth",
        "front cloth",
    ),
    "shoulder cloth": ("shoulder strap",),
    "belt": ("belt front", "belt near side", "belt far side", "belt back"),
    "arm": ("upper arm", "forearm", "wrist"),
    "round the body": ("round the body over the arm", "round the body under the arm"),
    "leg": ("thigh", "knee", "ankle", "foot"),
}
"""Each general place and its kinds (in the vocabulary's order, no source)."""

USE_KINDS: Final[dict[LegUse, tuple[LegUse, ...]]] = {
    "trip": ("block", "hook", "reap", "sweep"),
    "stroke": ("sweep", "kick"),
}
"""The kinds that a general use of the leg may be."""


@dataclass(frozen=True, slots=True)
class Stated(Generic[T_co]):
    """A value and what it is based on.

    Attributes:
        value: the value stated.
        basis: what it is based on.
        ref: which one: the ids of slips or trials, an analogue's name, the editor's initials; may be empty.
    """

    value: T_co
    basis: Basis = "reading"
    ref: str = ""


@dataclass(frozen=True, slots=True)
class Hand:
    """One hand of the wrestler. `None` means not stated.

    Attributes:
        places: where it holds as described; any one of several will do.
        also: all other places from which the same work is known to be done; if not stated, it is not known
            whether there are any.
        work: what it does.
        essential: True if the technique is impossible without one of these places; False if any hold that
            does the same work will do.
        lets_go: True if, as described, it lets go before the other wrestler is down.
    """

    places: Annotated[Stated[tuple[Place, ...]] | None, Statement()] = None
    also: Annotated[Stated[tuple[Place, ...]] | None, Statement()] = None
    work: Annotated[Stated[Work] | None, Statement()] = None
    essential: Annotated[Stated[bool] | None, Statement()] = None
    lets_go: Annotated[Stated[bool] | None, Statement()] = None


@dataclass(frozen=True, slots=True)
class Profile:
    """What a technique needs; every attribute except the hands, names and note may be `None` (not stated).

    Attributes:
        right, left: the wrestler's hands.
        leg_use, leg_when: what the leg does to him, and whether he still stands on the ground then.
        limb, limb_side: the part of the wrestler that works on him, and on which side.
        contact: all parts of him it touches.
        his_side, contact_inward: on which of his sides (or legs), from inside or outside.
        contact_from: whether it touches him from the front or from behind.
        facing: how the wrestler stands in relation to him at the decisive moment.
        off_balance: the direction in which his balance is broken, as he sees it.
        first_down: who first touches the ground with anything but the feet.
        falls_on_him: whether the thrower comes down on top of him.
        pressure: what is pressed or bent to make him yield or go.
        ground: whether it is done standing or on the ground.
        left_form: whether it is also done to the other side.
        names: other names, in addition to those of its entry; a rule can bar it by one of these.
        note: free text, never judged.
    """

    right: Annotated[Hand, Nested()] = Hand()
    left: Annotated[Hand, Nested()] = Hand()
    leg_use: Annotated[Stated[LegUse] | None, Statement()] = None
    leg_when: Annotated[Stated[LegWhen] | None, Statement()] = None
    limb: Annotated[Stated[Limb] | None, Statement()] = None
    limb_side: Annotated[Stated[Side] | None, Statement()] = None
    contact: Annotated[Stated[tuple[Contact, ...]] | None, Statement()] = None
    his_side: Annotated[Stated[Side] | None, Statement()] = None
    contact_inward: Annotated[Stated[Inward] | None, Statement()] = None
    contact_from: Annotated[Stated[Literal["front", "behind"]] | None, Statement()] = None
    facing: Annotated[Stated[Facing] | None, Statement()] = None
    off_balance: Annotated[Stated[Direction] | None, Statement()] = None
    first_down: Annotated[Stated[FirstDown] | None, Statement()] = None
    falls_on_him: Annotated[Stated[bool] | None, Statement()] = None
    pressure: Annotated[Stated[Pressure] | None, Statement()] = None
    ground: Annotated[Stated[Where] | None, Statement()] = None
    left_form: Annotated[Stated[LeftForm] | None, Statement()] = None
    names: Annotated[tuple[str, ...], Lines(length="name")] = ()
    note: Annotated[str, Block(merge="lines")] = ""


NOT_STATED: Final = Profile()
"""The profile that states nothing."""


@dataclass(frozen=True, slots=True)
class NamedProfile:
    """A profile with its names.

    Attributes:
        id: the entry it belongs to, or its own label.
        name: the name to show.
        names: every other name, for rules that bar by name.
        profile: what it needs.
        note: free text, not judged.
    """

    id: str
    name: str
    names: tuple[str, ...] = ()
    profile: Profile = NOT_STATED
    note: str = ""


def kinds_of(place: Place) -> tuple[Place, ...]:
    """Return a place and its kinds, itself first; a place without kinds returns only itself."""
    return (place, *KINDS.get(place, ()))


_OTHER_SIDE: Final[dict[Side, Side]] = {"right": "left", "left": "right", "both": "both"}
_OTHER_WAY: Final[dict[Direction, Direction]] = {
    "right": "left",
    "left": "right",
    "right forward": "left forward",
    "left forward": "right forward",
    "right backward": "left backward",
    "left backward": "right backward",
}


def mirror(profile: Profile) -> Profile:
    """Return the same technique done to the other side: hands, sides and directions are swapped."""
    limb, his, off = profile.limb_side, profile.his_side, profile.off_balance
    return replace(
        profile,
        right=profile.left,
        left=profile.right,
        limb_side=limb and replace(limb, value=_OTHER_SIDE[limb.value]),
        his_side=his and replace(his, value=_OTHER_SIDE[his.value]),
        off_balance=off and replace(off, value=_OTHER_WAY.get(off.value, off.value)),
    )
