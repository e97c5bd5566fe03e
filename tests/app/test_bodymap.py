"""The body maps contain every place and part."""

from app.web import drawing
from termbase.technique.profile import CONTACTS, PLACES


def test_every_place_for_a_hand_is_on_the_picture_exactly_once() -> None:
    places = [*drawing.HAND_PLACES, *drawing.BEHIND_PLACES, *drawing.GENERAL_PLACES]
    assert sorted(places) == sorted(PLACES)


def test_every_part_that_can_be_touched_is_on_the_picture() -> None:
    assert set(drawing.CONTACT_PLACES) == set(CONTACTS)


def test_rings_on_a_picture_do_not_overlap() -> None:
    for places in (drawing.HAND_PLACES, drawing.BEHIND_PLACES, drawing.CONTACT_PLACES):
        spots = [(side * x, y) for x, y in places.values() for side in (1, -1)]
        near = [
            (a, b)
            for n, a in enumerate(spots)
            for b in spots[:n]
            if (a[0] - b[0]) ** 2 + (a[1] - b[1]) ** 2 < 100
        ]
        assert near == []
