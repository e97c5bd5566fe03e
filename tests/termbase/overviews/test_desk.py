"""What the desk says about a line, and the lines it shows."""

import pytest
from sqlalchemy import update

from termbase.acts import history
from termbase.acts import pages as page_acts
from termbase.acts.drafting import ListLanguages
from termbase.errors import Damaged
from termbase.fields.notes import own_words
from termbase.overviews import desk
from termbase.record.pages import Line, LineState, Page
from termbase.store import line_lists as desk_lines
from termbase.store import tables
from termbase.store.engine import Store
from termbase.wordlists.stock import STOCK
from tests.wordlists import word_list_page

PATTERN = STOCK["hanging list"]
TEXT = """41
ankle-kick, s. [strap] cic i'r ffêr,
   f.
belt, s. gwregys, m.
belt-hold, see belt
blow s [box ergyd
   f.
bout, s. gornest, f.
"""
KICK, BELT, SEE, BLOW, BOUT = 2, 3, 4, 5, 6
NAMES = ListLanguages("en", "cy")


@pytest.fixture
def page(store: Store) -> Page:
    with store.act("Nia", "entered page 41") as act:
        return word_list_page(act, TEXT, pattern=PATTERN)


def at(store: Store, page: Page, position: int) -> Line:
    with store.read() as reader:
        line = desk_lines.line_at(reader, page.id, position)
    assert line is not None
    return line


def make(store: Store, page: Page, position: int) -> int:
    line = at(store, page, position)
    with store.act("Nia", f"made {position}") as act:
        page_acts.make(act, line.id)
    assert act.id is not None
    return act.id


def test_lines_around_a_position_come_in_order(store: Store, page: Page) -> None:
    with store.read() as reader:
        positions = [
            [line.position for line in lines]
            for lines in (
                desk_lines.lines_between(reader, page.id, 2, 4),
                desk_lines.lines_from(reader, page.id, 4, 2),
                desk_lines.lines_from(reader, page.id, 4, -2),
                desk_lines.lines_from(reader, page.id, 0, 9, states=(LineState.UNPARSED,)),
                desk_lines.lines_from(reader, page.id, 0, 9, holding="BELT"),
                desk_lines.lines_from(reader, page.id, 0, 9, holding="100%"),
            )
        ]
    assert positions == [[2, 3, 4], [4, 5], [2, 3], [BLOW], [BELT, SEE], []]


def test_the_next_open_line_comes_after_or_from_the_top(store: Store, page: Page) -> None:
    with store.read() as reader:
        assert [desk_lines.next_open(reader, page.id, n) for n in (0, 2, 5, 6)] == [2, 3, 6, 2]
    for position in (KICK, BELT, SEE, BOUT):
        make(store, page, position)
    with store.read() as reader:
        assert desk_lines.next_open(reader, page.id, 6) == BLOW
    blow = at(store, page, BLOW)
    with store.act("Nia", "set aside") as act:
        page_acts.set_aside(act, blow.id, "illegible")
    with store.read() as reader:
        assert desk_lines.next_open(reader, page.id, 0) is None
        count = desk_lines.count_of(reader, page.id)
        assert (count.done, count.set_aside, count.left, count.total) == (4, 1, 0, 5)
        assert desk_lines.reasons_given(reader, page.source_id) == (own_words("illegible"),)


@pytest.mark.parametrize(
    "kept", ['{"code":5}', "{", '"repeated"', '{"code":"line.aside.repeated","with":{"n":null}}']
)
def test_an_unreadable_reason_is_reported_as_damage(store: Store, page: Page, kept: str) -> None:
    blow = at(store, page, BLOW)
    with store.act("Nia", "set aside") as act:
        page_acts.set_aside(act, blow.id, "illegible")
    with store.engine.begin() as connection:
        connection.execute(update(tables.line).where(tables.line.c.id == blow.id).values(reason=kept))

    with store.read() as reader, pytest.raises(Damaged, match=f"row {blow.id} of the table “line”"):
        desk_lines.reasons_given(reader, page.source_id)


def test_beside_a_line_furniture_is_passed_over(store: Store, page: Page) -> None:
    with store.read() as reader:
        beside = [desk_lines.position_beside(reader, page.id, n, s) for n, s in ((2, -1), (3, -1), (6, 1))]
    assert beside == [None, 2, None]


def test_acts_are_offered_for_undoing_one_after_another(store: Store, page: Page) -> None:
    first, second = make(store, page, BELT), make(store, page, BOUT)

    def last() -> tuple[int, int] | None:
        with store.read() as reader:
            found = desk_lines.last_act_on(reader, page.id, "Nia")
        return (found[0].id, found[1]) if found else None

    def take_back(act_id: int) -> int:
        with store.act("Nia", "took back", undoes=act_id) as act:
            history.undo(act, act_id)
        assert act.id is not None
        return act.id

    assert last() == (second, BOUT)
    taken = take_back(second)
    assert last() == (first, BELT)
    take_back(taken)
    assert last() == (second, BOUT)
    with store.read() as reader:
        assert desk_lines.last_act_on(reader, page.id, "Elin") is None


def test_entering_a_page_is_not_offered_for_undoing(store: Store, page: Page) -> None:
    with store.read() as reader:
        assert desk_lines.last_act_on(reader, page.id, "Nia") is None


def test_an_offer_says_why(store: Store, page: Page) -> None:
    make(store, page, BOUT)
    line = Line("l9", page.id, 9, "bout, s. gornest, f.", parsed=at(store, page, BOUT).parsed)
    with store.read() as reader:
        (offer,) = desk.offers(reader, line, NAMES)
    assert offer.entry_id == "c0001"
    assert [t.text for t in offer.heads] == ["bout", "gornest"]
    assert "same English name" in offer.why


def test_a_cross_reference_is_offered_before_what_it_resembles(store: Store, page: Page) -> None:
    make(store, page, BELT)
    with store.read() as reader:
        see = at(store, page, SEE)
        assert desk.offers(reader, see, NAMES)[0].why.startswith("the line refers to it")
        assert desk.references(reader, see, NAMES) == (desk.Reference("belt", "c0001", False),)
    make(store, page, SEE)
    with store.read() as reader:
        assert desk.references(reader, at(store, page, SEE), NAMES)[0].can_relate
    with store.act("Nia", "related") as act:
        page_acts.relate(act, at(store, page, SEE).id, "c0001")
    with store.read() as reader:
        assert not desk.references(reader, at(store, page, SEE), NAMES)[0].can_relate


def test_a_cross_reference_without_a_target_is_reported(store: Store, page: Page) -> None:
    with store.read() as reader:
        assert desk.references(reader, at(store, page, SEE), NAMES) == (desk.Reference("belt"),)


def test_the_place_where_reading_stopped_is_marked_in_the_print(store: Store, page: Page) -> None:
    blow, kick = at(store, page, BLOW), at(store, page, KICK)
    pieces = desk.printed_pieces(blow, PATTERN)
    assert "".join(piece.text for piece in pieces) == blow.text.strip("\n")
    assert any(piece.why for piece in pieces)
    assert desk.printed_pieces(kick, PATTERN) == (desk.Piece(kick.text.strip("\n")),)
