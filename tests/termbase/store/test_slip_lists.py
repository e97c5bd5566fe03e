"""Lists of sources and slips, and slips joined and separated, on both databases."""

from dataclasses import replace

import pytest

from termbase.acts.sources import (
    join_slips,
    part_slips,
    remove_source,
    save_slip,
    save_source,
    sort_slip,
    uses_of,
)
from termbase.errors import BadInput, InUse, NotFound
from termbase.evidence.witnesses import witnesses
from termbase.record.sources import Certainty, Slip, Source, SourceKind
from termbase.rules.clauses import RuleCode
from termbase.store.engine import Store
from termbase.store.slip_lists import (
    SlipFilter,
    SlipOrder,
    SourceFilter,
    SourceOrder,
    list_slips,
    list_sources,
    next_unsorted,
    slip_ids,
)

TEXT = "Harries brought him down with as clean a back heel as we have seen"


@pytest.fixture
def filled(store: Store) -> Store:
    """Two newspapers and a manuscript; slips with dates and locators, created in no particular order."""
    with store.act("Nia", "made it") as act:
        for label, kind, issued in (
            ("Lantern", SourceKind.NEWSPAPER, "1870/1909"),
            ("advertiser", SourceKind.NEWSPAPER, "1866/1909"),
            ("Église", SourceKind.MANUSCRIPT, ""),
        ):
            save_source(act, Source("", label, kind, f"The {label}", issued=issued, place="Glanmorwen"))
        for source, page, date, certainty in (
            ("s1", "12", "", Certainty.SECURE),
            ("s1", "9", "1889-08", Certainty.SECURE),
            ("s2", "iv", "187X", Certainty.DOUBTFUL),
            ("s3", "", "", Certainty.SECURE),
        ):
            slip = Slip(
                "", source, f"{TEXT}, on page {page or 'none'}", page=page, date=date, certainty=certainty
            )
            save_slip(act, slip)
    return store


@pytest.mark.parametrize(
    ("order", "descending", "labels"),
    [
        ("label", False, ["advertiser", "Église", "Lantern"]),
        ("label", True, ["Lantern", "Église", "advertiser"]),
        ("date", False, ["advertiser", "Lantern", "Église"]),
        ("kind", False, ["advertiser", "Lantern", "Église"]),
        ("slips", True, ["Lantern", "advertiser", "Église"]),
    ],
)
def test_sources_are_in_the_requested_order(
    filled: Store, order: SourceOrder, descending: bool, labels: list[str]
) -> None:
    with filled.read() as reader:
        rows = list_sources(reader, order=order, descending=descending)

    assert [row.source.label for row in rows] == labels
    assert {row.source.label: row.slips for row in rows} == {"Lantern": 2, "advertiser": 1, "Église": 1}


@pytest.mark.parametrize(("text", "number"), [("eglise", 1), ("GLANMORWEN the", 3), ("lantern eglise", 0)])
def test_sources_are_filtered_word_by_word_ignoring_case_and_accents(
    filled: Store, text: str, number: int
) -> None:
    with filled.read() as reader:
        assert len(list_sources(reader, SourceFilter(text))) == number


@pytest.mark.parametrize(
    ("order", "descending", "ids"),
    [
        ("date", False, ["q3", "q1", "q2", "q4"]),  # 187X, 1870/1909, 1889-08, undated
        ("date", True, ["q2", "q1", "q3", "q4"]),
        ("made", True, ["q4", "q3", "q2", "q1"]),
        ("source", False, ["q3", "q4", "q2", "q1"]),  # p. 9 before p. 12
    ],
)
def test_slips_are_in_the_requested_order(
    filled: Store, order: SlipOrder, descending: bool, ids: list[str]
) -> None:
    with filled.read() as reader:
        assert slip_ids(reader, order=order, descending=descending) == ids
        assert [
            r.slip.id for r in list_slips(reader, order=order, descending=descending, offset=1, limit=2)
        ] == ids[1:3]


@pytest.mark.parametrize(
    ("wanted", "ids"),
    [
        (SlipFilter(source_id="s1"), ["q1", "q2"]),
        (SlipFilter(certainty="doubtful"), ["q3"]),
        (SlipFilter(text="HARRIES iv"), ["q3"]),
        (SlipFilter(text="%"), []),
        (SlipFilter(text="_"), []),
        (SlipFilter(sorting="sorted"), []),
        (SlipFilter(kind="use", sorting="unsorted"), ["q1", "q2", "q3", "q4"]),
    ],
)
def test_slips_are_filtered(filled: Store, wanted: SlipFilter, ids: list[str]) -> None:
    with filled.read() as reader:
        assert slip_ids(reader, wanted, "made") == ids


@pytest.mark.parametrize(
    "wanted", [SlipFilter(kind="shout"), SlipFilter(certainty="very"), SlipFilter(sorting="half")]
)
def test_an_unknown_filter_is_rejected(filled: Store, wanted: SlipFilter) -> None:
    with filled.read() as reader, pytest.raises(BadInput):
        slip_ids(reader, wanted)


def test_the_next_unsorted_slip_wraps_around(filled: Store) -> None:
    with filled.read() as reader:
        assert [next_unsorted(reader, after) for after in ("", "q1", "q4")] == ["q1", "q2", "q1"]
        assert next_unsorted(reader, "q2", "s1") == "q1"


def counted(store: Store) -> list[set[str]]:
    with store.read() as reader:
        issued = {source.id: source.issued for source in reader.all(Source)}
        return [set(w.slip_ids) for w in witnesses(reader.all(Slip), issued)]


def test_joining_and_separating_override_what_the_texts_suggest(filled: Store) -> None:
    assert {"q1", "q3"} <= max(counted(filled), key=len)  # near-identical texts of two papers
    with filled.act("Nia", "parted") as act:
        part_slips(act, ["q1", "q2", "q3", "q4"])
    assert sorted(map(sorted, counted(filled))) == [["q1"], ["q2"], ["q3"], ["q4"]]
    with filled.act("Nia", "joined") as act:
        join_slips(act, ["q2", "q4"])
    assert {"q2", "q4"} in counted(filled)
    with filled.act("Nia", "joined the other way round, and one more") as act:
        join_slips(act, ["q4", "q1", "q2"])
    assert {"q1", "q2", "q4"} in counted(filled)
    with filled.act("Nia", "parted the one that others are joined to") as act:
        part_slips(act, ["q4"])
    assert {"q4"} in counted(filled)


def test_joining_one_slip_or_separating_none_is_rejected(filled: Store) -> None:
    with filled.act("Nia", "tried") as act:
        for do, ids in ((join_slips, ["q1", "q1"]), (part_slips, [])):
            with pytest.raises(BadInput):
                do(act, ids)
        with pytest.raises(NotFound):
            join_slips(act, ["q1", "q99"])


def test_a_slip_can_only_be_sorted_to_existing_names(filled: Store) -> None:
    with pytest.raises(BadInput), filled.act("Nia", "tried") as act:
        sort_slip(act, "q1", "t99")


def test_a_source_that_a_rule_code_cites_is_in_use(filled: Store) -> None:
    with filled.act("Nia", "made a code") as act:
        fourth = save_source(act, Source("", "Rules", SourceKind.RULE_BOOK, "The Rules"))
        act.add(replace(RuleCode(act.new_id("code"), "Fair rules"), sources=(fourth.id,)))

    with filled.read() as reader:
        assert uses_of(reader, fourth.id) == {"rule codes": 1}
    with pytest.raises(InUse) as caught, filled.act("Nia", "tried") as act:
        remove_source(act, fourth.id)
    assert "1 rule code" in caught.value.what
