"""Importing sources."""

import pytest

from exports.citations.formats import read_works
from exports.citations.importing import import_sources, plan_sources
from termbase.errors import BadInput
from termbase.importing.records import State
from termbase.record.sources import Source, SourceKind
from termbase.rules.files import BadRows
from termbase.store.engine import Store

KNOWN = Source("s1", "Advertiser", SourceKind.NEWSPAPER, "The Advertiser", issued="1866/1909", rights="free",
               pattern="", note="torn")  # fmt: skip


@pytest.fixture
def filled(store: Store) -> Store:
    with store.act("Nia", "added a source") as act:
        act.add(KNOWN)
        act.count_past("source", "s1")
    return store


def planned(store: Store, text: str, name: str = "a.bib") -> dict[str, tuple[str, str]]:
    with store.read() as reader:
        result = plan_sources(reader, read_works(text.encode(), name), name)
    return {each.source.label: (each.state.value, each.source.id) for each in result}


def test_sources_are_matched_by_label_or_by_the_same_work(filled: Store) -> None:
    text = """@misc{a, label={Advertiser}, title={The Advertiser}}
    @misc{b, title={New Work}, author={Walker, Ann}, year={1898}}
    @misc{c, title={New Work, two}, author={Walker, Ann}, year={1898}}
    @misc{d, title={A work that nobody signed}}"""
    assert planned(filled, text) == {
        "Advertiser": ("same", "s1"),
        "Walker 1898": ("new", ""),
        "Walker 1898a": ("new", ""),
        "A work that nobody": ("new", ""),
    }
    same_work = "@article{a, title={The Advertiser}, date={1866/1909}}"
    assert planned(filled, same_work) == {"Advertiser": ("same", "s1")}


def test_fields_missing_from_the_file_stay_unchanged(filled: Store) -> None:
    text = "@article{a, label={Advertiser}, title={The Glanmorwen Advertiser}}"
    with filled.act("Nia", "took in a.bib") as act:
        result = plan_sources(act, read_works(text.encode(), "a.bib"), "a.bib")
        import_sources(act, result)
    assert [(d.field, d.before, d.after) for d in result[0].differences] == [
        ("title", "The Advertiser", "The Glanmorwen Advertiser")
    ]
    with filled.read() as reader:
        source = reader.get(Source, "s1")
    assert (source.title, source.rights, source.note) == ("The Glanmorwen Advertiser", "free", "torn")


def test_importing_the_same_file_twice_changes_nothing(filled: Store) -> None:
    text = "@misc{b, title={New Work}, author={Walker, Ann}, year={1898}}"
    for expected in (State.NEW, State.SAME):
        with filled.act("Nia", "took in a.bib") as act:
            result = plan_sources(act, read_works(text.encode(), "a.bib"), "a.bib")
            assert [each.state for each in result] == [expected]
            import_sources(act, result)


def test_every_invalid_work_is_reported_and_none_is_imported(filled: Store) -> None:
    text = """@misc{good, title={Good}}
@misc{a, title={}}
@misc{b, title={Bad date}, date={once}}
@misc{c, label={L}, title={One}}
@misc{d, label={L}, title={Two}}
"""
    with filled.read() as reader, pytest.raises(BadRows) as raised:
        plan_sources(reader, read_works(text.encode(), "a.bib"), "a.bib")
    assert [row.where.split(",")[1].strip()[:6] for row in raised.value.rows] == [
        "line 2",
        "line 3",
        "line 5",
    ]
    assert all(isinstance(row, BadInput) and row.fix for row in raised.value.rows)


def test_works_without_a_label_get_different_ones(filled: Store) -> None:
    text = "".join(
        f"@misc{{k{n}, title={{Work {n}}}, author={{Walker, Ann}}, year=1898}}\n" for n in range(30)
    )
    with filled.read() as reader:
        labels = [
            each.source.label for each in plan_sources(reader, read_works(text.encode(), "a.bib"), "a.bib")
        ]

    assert len(set(labels)) == 30
    assert labels[:3] == ["Walker 1898", "Walker 1898a", "Walker 1898b"]
    assert labels[-1] == "Walker 1898 (4)"
