"""The body as rule codes cut it up: zones, heights, and which holds do the same work.

The tables are the ordinary reading of the words: common practice, no source.
"""

from collections.abc import Iterable
from typing import Final

from termbase.judging.logic import Truth
from termbase.rulecodes.clauses import HEIGHTS, ZONES, Height, Holdable, Zone
from termbase.technique.profile import PLACES, Contact, Limb, Place, Work, kinds_of

__all__ = [
    "FOOT",
    "contact_span",
    "covered",
    "height_within",
    "same_work",
    "zone_holds",
]

_JACKET: Final = frozenset(kinds_of("jacket"))
_BELT: Final = frozenset(kinds_of("belt"))
_BODY: Final = frozenset(kinds_of("round the body"))
_ARM: Final = frozenset(kinds_of("arm"))
_LEG: Final = frozenset(kinds_of("leg"))
_HEAD: Final[frozenset[Place]] = frozenset({"head", "hair", "ear", "neck", "throat"})
_NEITHER: Final[frozenset[Place]] = frozenset({"free", "own other hand"})
_NONE: Final[frozenset[Place]] = frozenset()

_INSIDE: Final[dict[Zone, frozenset[Place]]] = {
    "anywhere": frozenset(PLACES) - _NEITHER,
    "clothing": _JACKET | _BELT | {"trouser cloth"},
    "flesh": _ARM | _LEG | _HEAD | {"fingers", "crotch"},
    "above the waist": _JACKET | _BODY | _ARM | _HEAD | {"fingers"},
    "below the waist": _LEG | {"trouser cloth", "crotch"},
    "legs": _LEG | {"trouser cloth"},
}
_COVERS: Final[dict[Holdable, frozenset[Place]]] = {
    **{zone: _INSIDE[zone] for zone in ZONES},
    **{place: frozenset(kinds_of(place)) for place in PLACES},
}
_PERHAPS: Final[dict[Zone, frozenset[Place]]] = {
    "flesh": _BODY,
    "above the waist": _BELT,  # a belt lies on the line
    "legs": frozenset({"crotch"}),
}

_HEIGHT: Final[dict[Contact, tuple[Height, Height]]] = {
    "foot": ("foot", "foot"),
    "heel": ("foot", "foot"),
    "ankle": ("ankle", "ankle"),
    "shin": ("shin", "shin"),
    "calf": ("shin", "shin"),
    "knee": ("knee", "knee"),
    "leg": ("foot", "thigh"),
    "inner thigh": ("thigh", "thigh"),
    "outer thigh": ("thigh", "thigh"),
    "thigh": ("thigh", "thigh"),
    "crotch": ("crotch", "crotch"),
    "hip": ("hip", "hip"),
    "belly": ("hip", "waist"),
    "trunk": ("hip", "chest"),
    "chest": ("chest", "chest"),
    "shoulder": ("chest", "chest"),
    "arm": ("waist", "chest"),
    "neck": ("neck", "neck"),
    "head": ("head", "head"),
}
_RANK: Final = {height: rank for rank, height in enumerate(HEIGHTS)}

FOOT: Final[frozenset[Limb]] = frozenset({"foot", "sole", "heel"})
"""The limbs a rule about the feet speaks of."""

_TRUNK_HOLDS: Final = (_JACKET - {"sleeve", "elbow cloth"}) | _BELT | _BODY
_ARM_HOLDS: Final[frozenset[Place]] = _ARM | {"sleeve", "elbow cloth"}
_LEG_HOLDS: Final[frozenset[Place]] = _LEG | {"trouser cloth", "crotch"}
_LIFTING: Final[frozenset[Place]] = _BELT | _BODY | _LEG_HOLDS | {"back cloth"}
_REGIONS: Final = (
    _TRUNK_HOLDS,
    _ARM_HOLDS,
    _LEG_HOLDS,
    frozenset[Place]({"head", "neck"}),
    frozenset[Place]({"fingers"}),
)


def zone_holds(zone: Zone, place: Place) -> Truth:
    """Whether a place lies in a zone; not known of a place on its border."""
    if place in _INSIDE[zone]:
        return True
    return None if place in _PERHAPS.get(zone, _NONE) else False


def covered(places: Iterable[Holdable]) -> frozenset[Place]:
    """Every place a list of places and zones is sure to cover, kinds included."""
    found: set[Place] = set()
    for place in places:
        found |= _COVERS[place]
    return frozenset(found)


def contact_span(contact: tuple[Contact, ...]) -> tuple[int, int]:
    """The lowest and the highest that the uppermost touched part may be, as ranks in HEIGHTS."""
    spans = [_HEIGHT[part] for part in contact]
    return max(_RANK[low] for low, _ in spans), max(_RANK[high] for _, high in spans)


def height_within(contact: tuple[Contact, ...], limit: Height) -> Truth:
    """Whether everything touched lies at or under a height."""
    low, high = contact_span(contact)
    if high <= _RANK[limit]:
        return True
    return False if low > _RANK[limit] else None


def same_work(places: tuple[Place, ...], work: Work | None) -> frozenset[Place]:
    """The places from which the work done from any of these can be done as well.

    Within a region of the body one hold stands in for another; a lift needs one that carries his weight; a
    hand that is free may hold anywhere; a lock has no stand-in.
    """
    if "free" in places:
        return _INSIDE["anywhere"]
    if work == "lock":
        return _NONE
    found: set[Place] = set()
    for region in _REGIONS:
        if not region.isdisjoint(places):
            found |= region
    if work == "lift":
        found &= _LIFTING
    return frozenset(found)
