"""Hypothesis strategies for profiles and rule codes, shared by the tests of judging and of their files."""

from typing import Any, get_args

from hypothesis import strategies as st

from termbase.fields.declarations import Flag, Member, Members, fields_of
from termbase.rules.clauses import (
    HEIGHTS,
    ZONES,
    FallRule,
    Footwear,
    Garment,
    GripRule,
    GroundRule,
    KeepRule,
    LegRule,
    Likeness,
    Limits,
    NamedRule,
    PressureRule,
    RuleCode,
    StartHold,
)
from termbase.technique.profile import (
    CONTACTS,
    DIRECTIONS,
    LEG_USES,
    LIMBS,
    PLACES,
    PRESSURES,
    WORKS,
    Basis,
    Facing,
    FirstDown,
    Hand,
    LegWhen,
    NamedProfile,
    Profile,
    Stated,
)

GARMENTS = get_args(Garment)
NAMES = ("back heel", "hank", "click")
STANCES = ("allowed", "barred", "unsettled")


def pick(*values: Any) -> st.SearchStrategy[Any]:
    return st.sampled_from(values)


def some(values: Any, most: int = 3) -> st.SearchStrategy[Any]:
    return st.lists(st.sampled_from(values), min_size=1, max_size=most, unique=True).map(tuple)


def few(values: Any, most: int = 3) -> st.SearchStrategy[Any]:
    return st.lists(st.sampled_from(values), max_size=most, unique=True).map(tuple)


def or_none(values: Any) -> st.SearchStrategy[Any]:
    return st.none() | (values if isinstance(values, st.SearchStrategy) else st.sampled_from(values))


def stated(values: Any) -> st.SearchStrategy[Stated[Any]]:
    strategy = values if isinstance(values, st.SearchStrategy) else st.sampled_from(values)
    return st.builds(Stated, strategy, st.sampled_from(get_args(Basis)), pick("", "s0001", "t003"))


HAND = {
    "places": stated(some(PLACES)),
    "also": stated(few(PLACES)),
    "work": stated(WORKS),
    "essential": stated(st.booleans()),
    "lets_go": stated(st.booleans()),
}
ATTRIBUTES = {
    "leg_use": stated(LEG_USES),
    "leg_when": stated(get_args(LegWhen)),
    "limb": stated(LIMBS),
    "limb_side": stated(("right", "left", "both")),
    "contact": stated(some(CONTACTS, 2)),
    "his_side": stated(("right", "left", "both")),
    "contact_inward": stated(("inside", "outside")),
    "contact_from": stated(("front", "behind")),
    "facing": stated(get_args(Facing)),
    "off_balance": stated(DIRECTIONS),
    "first_down": stated(get_args(FirstDown)),
    "falls_on_him": stated(st.booleans()),
    "pressure": stated(PRESSURES),
    "ground": stated(("standing", "on the ground")),
    "left_form": stated(("same", "none")),
}
HANDS = st.builds(Hand, **{name: st.none() | values for name, values in HAND.items()})
WIDE_PROFILES = st.builds(
    Profile, right=HANDS, left=HANDS, **{name: st.none() | values for name, values in ATTRIBUTES.items()}
)
NAMED_PROFILES = st.builds(
    NamedProfile,
    id=pick("c0001", "c0002", "c0003"),
    name=pick(*NAMES),
    names=few(NAMES),
    profile=WIDE_PROFILES,
    note=pick("", "Seen once."),
)

LIMITS = st.just(Limits()) | st.builds(
    Limits, place=pick("", "Upper vale"), years=pick("", "1868/1884", "1884/.."), wrestlers=pick("", "boys")
)
HOLDS = few((*PLACES[:-1], *ZONES))
BASE = {
    "sources": few(("Fair rules 1868", "Lantern 1884")),
    "limits": LIMITS,
    "words": pick("", "As agreed."),
}


def built(kind: Any, **known: st.SearchStrategy[Any]) -> st.SearchStrategy[Any]:
    """Clauses of a family; a field that is not known better has any of its words."""
    drawn = dict(known)
    for field in fields_of(kind):
        if field.name in drawn or not field.has_default:
            continue
        if isinstance(field.is_a, Members):
            drawn[field.name] = few(field.words)
        elif isinstance(field.is_a, Member):
            drawn[field.name] = or_none(field.words)
        elif isinstance(field.is_a, Flag):
            drawn[field.name] = or_none((True, False)) if field.optional else st.booleans()
    return st.builds(kind, **drawn)


def clauses(ids: st.SearchStrategy[str]) -> st.SearchStrategy[Any]:
    base = {**BASE, "id": ids}
    stance = pick(*STANCES)
    maybe = or_none(STANCES)
    return st.one_of(
        built(
            StartHold, right=HOLDS, left=HOLDS, left_handed=maybe, first=or_none(("right", "left")), **base
        ),
        built(
            KeepRule,
            keep=or_none(("both hands", "one hand", "within a zone", "free")),
            zone=HOLDS,
            loss=or_none(("the fall", "a point", "a restart", "nothing")),
            **base,
        ),
        built(
            GripRule,
            allowed=HOLDS,
            barred=HOLDS,
            rest=maybe,
            flat_hand=maybe,
            ground=or_none(("standing", "on the ground")),
            worn=few(GARMENTS, 2),
            not_worn=few(GARMENTS, 2),
            **base,
        ),
        built(
            LegRule,
            stance=stance,
            uses=some((*LEG_USES[1:], "any")),
            height=or_none(HEIGHTS),
            feet_only=st.booleans(),
            when=or_none(get_args(LegWhen)),
            footwear=or_none(get_args(Footwear)),
            **base,
        ),
        built(
            PressureRule,
            allowed=few((*PRESSURES[1:], "any"), 2),
            barred=few((*PRESSURES[1:], "any"), 2),
            unsettled=few((*PRESSURES[1:], "any"), 2),
            **base,
        ),
        built(
            GroundRule,
            work=maybe,
            touch=or_none(("loses", "stops play", "costs a point", "nothing")),
            both=or_none(("loses", "wrestled again", "counts", "nothing")),
            fall_on_him=maybe,
            **base,
        ),
        built(
            NamedRule,
            stance=stance,
            names=some(NAMES, 2),
            like=st.none()
            | st.builds(
                Likeness,
                leg_use=some(LEG_USES),
                limb_side=few(("right", "left", "both")),
                contact=few(CONTACTS),
                facing=few(get_args(Facing)),
                off_balance=few(DIRECTIONS),
                pressure=few(PRESSURES),
                falls_on_him=few((True, False)),
            ),
            by_consent=st.booleans(),
            **base,
        ),
        built(FallRule, parts=few(("shoulder", "hip", "back")), number=or_none((1, 2, 3)), **base),
    )


WIDE_CODES = st.lists(clauses(pick(*"abcdefgh")), max_size=6, unique_by=lambda clause: clause.id).map(
    lambda drawn: RuleCode("r01", "Fair rules", place="Glanmorwen", period="1868/1890", clauses=tuple(drawn))
)

# Of a wide vocabulary two draws seldom speak of the same thing; of a close one they mostly do.

HELD = ("shoulder strap", "belt near side", "collar")


def mostly(values: Any) -> st.SearchStrategy[Any]:
    """Stated three times out of four."""
    return st.one_of(st.none(), *[stated(values)] * 3)


CLOSE_HANDS = st.builds(
    Hand,
    places=mostly(some(HELD, 2)),
    also=st.none() | stated(few(HELD, 1)),
    work=mostly(("pull", "lift")),
    essential=mostly(st.booleans()),
    lets_go=st.none() | stated(st.booleans()),
)
CLOSE_PROFILES = st.builds(
    Profile,
    right=CLOSE_HANDS,
    left=CLOSE_HANDS,
    leg_use=mostly(("none", "hook", "kick")),
    leg_when=mostly(get_args(LegWhen)),
    limb=mostly(("heel", "thigh")),
    limb_side=mostly(("right", "left")),
    contact=mostly(some(("shin", "knee"), 1)),
    off_balance=mostly(("right", "left")),
    first_down=mostly(("he", "thrower")),
    falls_on_him=mostly(st.booleans()),
    pressure=mostly(("none", "neck")),
    ground=mostly(("standing",)),
    left_form=mostly(("same", "none")),
)


def close_grips(ids: st.SearchStrategy[str]) -> st.SearchStrategy[Any]:
    allowed, barred = few(HELD, 1), few(HELD, 1)
    return st.builds(GripRule, allowed=allowed, barred=barred, rest=or_none(STANCES), **{**BASE, "id": ids})


def close_clauses(ids: st.SearchStrategy[str]) -> st.SearchStrategy[Any]:
    """Clauses that leave the hands alone."""
    base = {**BASE, "id": ids}
    return st.one_of(
        st.builds(
            LegRule,
            stance=pick(*STANCES),
            uses=some(("hook", "kick", "any"), 2),
            height=or_none(("shin",)),
            when=or_none(get_args(LegWhen)),
            footwear=or_none(("shod", "stockinged")),
            **base,
        ),
        st.builds(PressureRule, allowed=few(("neck",)), barred=few(("neck",)), **base),
        st.builds(
            GroundRule,
            work=or_none(STANCES),
            touch=or_none(("loses", "nothing")),
            fall_on_him=or_none(STANCES),
            **base,
        ),
        st.builds(
            NamedRule,
            stance=pick(*STANCES),
            names=st.just(("hank",)),
            like=st.builds(Likeness, leg_use=st.just(("hook",)), off_balance=pick(("right",), ("left",))),
            **base,
        ),
    )


CLOSE_CODES = st.builds(
    lambda hold, keep, rest: RuleCode(
        "r01", "Fair rules", place="Glanmorwen", period="1868/1890", clauses=(hold, keep, *rest)
    ),
    st.builds(
        StartHold,
        id=st.just("hold"),
        right=some(HELD, 1),
        left=some(HELD, 1),
        left_handed=or_none(STANCES),
        sources=BASE["sources"],
    ),
    st.builds(KeepRule, id=st.just("keep"), keep=pick("both hands", "one hand", "free"), limits=LIMITS),
    st.lists(
        close_clauses(pick(*"abcdefgh")) | close_grips(pick(*"abcdefgh")),
        max_size=5,
        unique_by=lambda clause: clause.id,
    ),
)
HANDLESS_CODES = st.lists(
    close_clauses(pick(*"abcdefgh")), min_size=1, max_size=4, unique_by=lambda clause: clause.id
).map(lambda drawn: RuleCode("r01", "Fair", place="Glanmorwen", period="1868/1890", clauses=tuple(drawn)))
"""Codes that say nothing of the hands, so that the other families decide."""
PROFILES = WIDE_PROFILES | CLOSE_PROFILES
CODES = WIDE_CODES | CLOSE_CODES | HANDLESS_CODES
