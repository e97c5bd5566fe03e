"""Which cautions a technique carries."""

import pytest

from termbase.cautions import OWN_CAUTIONS, own_cautions
from termbase.entries import Topic
from termbase.technique import Hand, Profile, Said


@pytest.mark.parametrize(
    ("topic", "profile", "kinds"),
    [
        (Topic.KICK, None, ("kick", "young")),
        (Topic.LIFT, None, ("lift", "young")),
        (Topic.TRIP, Profile(leg_use=Said("stroke")), ("kick", "young")),
        (Topic.TRIP, Profile(leg_use=Said("hook")), ("young",)),
        (Topic.HOLD, Profile(pressure=Said("joint")), ("joint", "young")),
        (Topic.HOLD, Profile(pressure=Said("pain")), ("joint", "young")),
        (None, Profile(pressure=Said("neck"), off_balance=Said("up")), ("neck", "lift", "young")),
        (Topic.THROW, Profile(left=Hand(work=Said("lift"))), ("lift", "young")),
        (Topic.GARMENT, None, ()),
        (None, None, ()),
    ],
)
def test_each_kind_of_danger_has_its_line(
    topic: Topic | None, profile: Profile | None, kinds: tuple[str, ...]
) -> None:
    assert own_cautions(topic, profile) == tuple(OWN_CAUTIONS[kind] for kind in kinds)  # type: ignore[index]


def test_no_caution_ever_calls_anything_safe() -> None:
    assert not [line for line in OWN_CAUTIONS.values() if "safe" in line.casefold()]
