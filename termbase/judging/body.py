"""Divide the body as rule codes do: zones, heights, and which holds do the same work.

The tables give the ordinary meaning of the words (common practice, no source).
"""

from collections.abc import Iterable
from functools import lru_cache
from typing import Final

from termbase.judging.verdict import Truth
from termbase.rules.clauses import HEIGHTS, ZONES, Footwear, Garment, Height, Holdable, Zone
from termbase.technique.profile import PLACES, Contact, Limb, Place, Work, kinds_of

__all__ = [
    "FOOT",
    "contact_span",
    "covered",
    "footwear",
    "height_within",
    "held_by",
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
    "above the waist": _BELT,  # a belt is on the border
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
"""The limbs that a rule about the feet covers."""

_HELD_BY: Final[dict[Garment, frozenset[Place]]] = {
    "jacket": _JACKET,
    "shoulder strap": frozenset({"shoulder strap"}),
    "belt": _BELT,
    "trousers": frozenset({"trouser cloth"}),
    "stockings": _NONE,
    "shoes": _NONE,
}

_SLEEVE: Final[frozenset[Place]] = frozenset({"sleeve", "elbow cloth"})
_ALIKE: Final[tuple[frozenset[Place], ...]] = (
    _JACKET - _SLEEVE,
    _BELT,
    _BODY,
    _ARM | _SLEEVE,
    _LEG | {"trouser cloth", "crotch"},
    frozenset({"head", "neck"}),
    frozenset({"fingers"}),
)
"""Holds of one kind on one part of the body, which can replace one another."""

_TRUNK: Final = (_JACKET - _SLEEVE) | _BELT | _BODY
"""Holds on one part but of different kinds: only a trial shows whether one can replace another."""

_CARRYING: Final[frozenset[Place]] = _BELT | _BODY | _LEG | {"trouser cloth", "crotch", "back cloth"}
"""Holds that carry a man's weight."""


def zone_holds(zone: Zone, place: Place) -> Truth:
    """Return whether a place lies in a zone; `None` for a place on its border."""
    if place in _INSIDE[zone]:
        return True
    return None if place in _PERHAPS.get(zone, _NONE) else False


def covered(places: Iterable[Holdable]) -> frozenset[Place]:
    """Return every place that a list of places and zones certainly covers, kinds included."""
    places_covered: set[Place] = set()
    for place in places:
        places_covered |= _COVERS[place]
    return frozenset(places_covered)


def held_by(garments: Iterable[Garment]) -> frozenset[Place]:
    """Return the places on these garments. If a garment is not worn, nobody can hold there."""
    return _NONE.union(*(_HELD_BY[garment] for garment in garments))


def footwear(worn: frozenset[Garment], not_worn: frozenset[Garment]) -> Footwear | None:
    """Return the footwear, or `None` if the garments worn and not worn do not settle it."""
    if "shoes" in worn:
        return "shod"
    if "stockings" in worn:
        return "stockinged"
    return "barefoot" if {"stockings", "shoes"} <= not_worn else None


def contact_span(contact: tuple[Contact, ...]) -> tuple[int, int]:
    """Return the lowest and highest rank in HEIGHTS that the uppermost touched part may have."""
    spans = [_HEIGHT[part] for part in contact]
    return max(_RANK[low] for low, _ in spans), max(_RANK[high] for _, high in spans)


def height_within(contact: tuple[Contact, ...], limit: Height) -> Truth:
    """Return whether everything touched is at or below a height."""
    low, high = contact_span(contact)
    if high <= _RANK[limit]:
        return True
    return False if low > _RANK[limit] else None


@lru_cache(maxsize=1024)
def same_work(places: tuple[Place, ...], work: Work | None) -> tuple[frozenset[Place], frozenset[Place]]:
    """Return the places that can do the same work as these, and those for which that is unknown.

    A hold can replace another of its kind on the same part of the body. Between jacket, belt and body holds,
    only a trial can tell. A lift needs a hold that carries his weight. A hand that may be free may hold
    anywhere. Nothing replaces a lock.
    """
    if "free" in places:
        return _INSIDE["anywhere"], _NONE
    if work == "lock":
        return _NONE, _NONE
    sure: set[Place] = set()
    for alike in _ALIKE:
        if not alike.isdisjoint(places):
            sure |= alike
    perhaps = set() if _TRUNK.isdisjoint(places) else _TRUNK - sure
    if work == "lift":
        sure, perhaps = sure & _CARRYING, set(perhaps & _CARRYING)
    return frozenset(sure), frozenset(perhaps)
