"""A man seen from the front, with the places that can be clicked: the picture used to enter a
profile. The page's script makes it interactive; without it the check boxes beside it do the same.
"""

from typing import Final

from markupsafe import Markup

from app.web.language import gettext as _

__all__ = ["BEHIND_PLACES", "CONTACT_PLACES", "GENERAL_PLACES", "HAND_PLACES", "contact_map", "hand_map"]

MIDDLE: Final = 150
RADIUS: Final = 8.5
DOT: Final = 3.2
LINE: Final = 25
EDGE: Final = 62

HAND_PLACES: Final[dict[str, tuple[int, int]]] = {
    "hair": (12, 15), "head": (12, 35), "ear": (31, 38), "neck": (25, 66), "throat": (9, 73),
    "collar": (30, 86), "shoulder strap": (47, 92), "shoulder cloth": (65, 97), "lapel": (19, 106),
    "front cloth": (13, 134), "sleeve": (84, 124), "upper arm": (66, 119), "elbow cloth": (91, 150),
    "forearm": (95, 173), "wrist": (99, 195), "fingers": (103, 216), "belt front": (9, 187),
    "belt far side": (-27, 187), "belt near side": (45, 187), "crotch": (9, 226), "thigh": (25, 252),
    "trouser cloth": (43, 262), "knee": (31, 296), "ankle": (29, 356), "foot": (36, 380),
}  # fmt: skip
"""The distance of each place from the middle, on the side of the hand that holds it, and from the top."""

BEHIND_PLACES: Final[dict[str, tuple[int, int]]] = {
    "back cloth": (14, 112), "round the body under the arm": (30, 140),
    "round the body over the arm": (66, 140), "belt back": (12, 187),
}  # fmt: skip
"""The same for places behind him; arms passed round him meet there."""

GENERAL_PLACES: Final = ("jacket", "belt", "arm", "round the body", "leg", "own other hand", "free")
"""Places without a single spot on the picture: general ones, and none on him at all."""

CONTACT_PLACES: Final[dict[str, tuple[int, int]]] = {
    "head": (13, 35), "neck": (19, 68), "shoulder": (58, 94), "chest": (20, 112), "arm": (82, 134),
    "trunk": (22, 140), "belly": (14, 168), "hip": (43, 196), "crotch": (9, 224), "outer thigh": (47, 246),
    "inner thigh": (16, 250), "thigh": (32, 266), "knee": (31, 296), "leg": (46, 312), "shin": (24, 326),
    "calf": (41, 334), "ankle": (29, 354), "heel": (18, 374), "foot": (37, 378),
}  # fmt: skip

_MAN: Final = (
    "M150 10c16 0 25 12 25 27 0 12-5 22-11 27v9c6 4 22 9 38 13 18 4 26 16 31 40l20 84c2 9-2 22-8 22-6 0-9-8"
    "-10-14l-24-76c-2 14-8 36-10 48 4 22 6 44 4 66-2 26-6 60-8 96l22 18c2 6-2 10-8 10h-32l-6-24-20-112h-6"
    "l-20 112-6 24h-32c-6 0-10-4-8-10l22-18c-2-36-6-70-8-96-2-22 0-44 4-66-2-12-8-34-10-48l-24 76c-1 6-4 14"
    "-10 14-6 0-10-13-8-22l20-84c5-24 13-36 31-40 16-4 32-9 38-13v-9c-6-5-11-15-11-27 0-15 9-27 25-27z"
)
_DRESS: Final = "M101 180q49 16 98 0M104 196q46 14 92 0M118 84l8 104M182 84l-8 104"


def hand_map(right: tuple[str, ...], left: tuple[str, ...]) -> Markup:
    """Draw his body with a ring for every place, for either hand; held places are filled.

    He is seen from the front, as the thrower sees him, so the right hand's places are on the right.
    """
    hands = (("right", 1, right, _("R")), ("left", -1, left, _("L")))
    front, behind = (
        [
            _ring(f"{hand}.places", place, (MIDDLE + side * x, y), place in held, letter)
            for hand, side, held, letter in hands
            for place, (x, y) in places.items()
        ]
        for places in (HAND_PLACES, BEHIND_PLACES)
    )
    listed = [
        _ring(f"{hand}.places", place, (EDGE + side * 11, LINE * n + 14), place in held, letter)
        for hand, side, held, letter in hands
        for n, place in enumerate(GENERAL_PLACES)
    ]
    names = [
        Markup('<text class="named" x="{x}" y="{y}">{label}</text>').format(
            x=EDGE + 28, y=LINE * n + 18, label=_(place)
        )
        for n, place in enumerate(GENERAL_PLACES)
    ]
    height = LINE * len(GENERAL_PLACES)
    return Markup("").join(
        (
            _sheet(_("Where the hands hold"), front),
            _sheet(_("Where the hands hold behind him"), behind, "36 60 228 160"),
            _sheet(_("Holds without one spot"), [*listed, *names], f"36 0 228 {height}", man=False),
        )
    )


def contact_map(parts: tuple[str, ...], his_side: str) -> Markup:
    """Draw his body with a ring for every part that can be touched; his right is on the left."""
    rings = []
    for side, name in ((1, "left"), (-1, "right")):
        for part, (x, y) in CONTACT_PLACES.items():
            held = part in parts and his_side in {name, "both", ""}
            rings.append(_ring("contact", part, (MIDDLE + side * x, y), held, "", name))
    return _sheet(_("Where he is touched"), rings)


def _ring(path: str, value: str, at: tuple[int, int], held: bool, letter: str, side: str = "") -> Markup:
    label = _("%(side)s %(part)s", side=_(side), part=_(value)) if side else f"{letter}: {_(value)}"
    return Markup(
        '<g class="spot{held}" role="checkbox" aria-checked="{checked}" aria-label="{label}" tabindex="-1" '
        'data-path="{path}" data-value="{value}" data-side="{side}"><title>{label}</title>'
        '<circle class="reach" cx="{x}" cy="{y}" r="{r}"/>'
        '<circle class="dot" cx="{x}" cy="{y}" r="{dot}"/><text x="{x}" y="{ty}">{letter}</text></g>'
    ).format(
        held=" held" if held else "", checked="true" if held else "false", label=label, path=path,
        value=value, side=side, x=at[0], y=at[1], r=RADIUS, dot=DOT, ty=at[1] + 4,
        letter=letter if held else "",
    )  # fmt: skip


def _sheet(title: str, rings: list[Markup], box: str = "36 0 228 400", *, man: bool = True) -> Markup:
    body = Markup('<path class="man" d="{}"/><path class="dress" d="{}"/>').format(_MAN, _DRESS)
    return Markup(
        '<svg class="body-map" role="group" aria-label="{title}" viewBox="{box}" data-body-map>'
        "{body}{rings}</svg>"
    ).format(title=title, box=box, body=body if man else "", rings=Markup("").join(rings))
