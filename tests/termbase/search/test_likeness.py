"""What a line of a word-list resembles."""

from collections.abc import Sequence

import pytest

from termbase.record.entries import Entry, Origin, Term
from termbase.search.likeness import Resemblance, Resembler, resembling
from termbase.store.engine import Store
from termbase.store.reading import Reader
from termbase.store.writing import Act


def enter(act: Act, *names: tuple[str, str]) -> Entry:
    terms = tuple(Term(act.new_id("term"), text, tag, Origin.WORD_LIST) for text, tag in names)
    return act.add(Entry(act.new_id("entry"), terms=terms))


def fill(store: Store) -> Store:
    with store.act("Nia", "entered names") as act:
        enter(act, ("back-heel", "en"), ("sawdl ôl", "cy"))
        enter(act, ("back heel", "en"), ("cic ôl", "cy"))
        enter(act, ("trip", "en"), ("baglu", "cy"))
        enter(act, ("inside hook", "en"), ("bachyn mewnol", "cy"))
        enter(act, ("baglu", "en"))
    return store


@pytest.fixture(scope="module")
def glossary(shared_store: Store) -> Store:
    """Names to be found; only read."""
    return fill(shared_store)


def from_tables(reader: Reader, names: Sequence[tuple[str, str]]) -> tuple[Resemblance, ...]:
    return resembling(reader, names)


def from_memory(reader: Reader, names: Sequence[tuple[str, str]]) -> tuple[Resemblance, ...]:
    return Resembler(reader).resembling(names)


def from_memory_alone(reader: Reader, names: Sequence[tuple[str, str]]) -> tuple[Resemblance, ...]:
    return Resembler(reader, for_every_entry=True).resembling(names)


WAYS = pytest.mark.parametrize("ask", [from_tables, from_memory, from_memory_alone])


@WAYS
@pytest.mark.parametrize(
    ("names", "entry_id", "strength", "why"),
    [
        ([("trip", "en")], "c0003", "same", "same English name"),
        ([("Trip", "en-GB")], "c0003", "same", "same English name, spelt “trip”"),
        ([("faglu", "cy")], "c0003", "form", "Welsh name is a mutated form of “baglu” (soft, b > f)"),
        ([("tripping", "en")], "c0003", "form", "English name is an inflected form of “trip”"),
        ([("insid hook", "en")], "c0004", "near", "English name differs from “inside hook” in one letter"),
        ([("back heel", "en")], "c0002", "same", "same English name"),
    ],
)
def test_the_nearest_entry_and_the_reason(
    glossary: Store, ask: type, names: list[tuple[str, str]], entry_id: str, strength: str, why: str
) -> None:
    with glossary.read() as reader:
        first = ask(reader, names)[0]
    assert (first.entry_id, first.strength, first.why) == (entry_id, strength, why)


@WAYS
def test_an_entry_matching_in_both_languages_ranks_above_a_closer_match_in_one(
    glossary: Store, ask: type
) -> None:
    with glossary.read() as reader:
        found = ask(reader, [("back heel", "en"), ("sawdl ol", "cy")])
    assert [r.entry_id for r in found[:2]] == ["c0001", "c0002"]
    assert found[0].languages == 2
    assert found[0].why == "same English name, spelt “back-heel”; same Welsh name, spelt “sawdl ôl”"


@WAYS
def test_names_are_compared_within_their_language_only(glossary: Store, ask: type) -> None:
    with glossary.read() as reader:
        assert [r.entry_id for r in ask(reader, [("baglu", "en")])] == ["c0005"]
        assert [r.entry_id for r in ask(reader, [("baglu", "cy")])] == ["c0003"]
        assert ask(reader, [("baglu", "ga")]) == ()


@WAYS
@pytest.mark.parametrize(
    "names", [[], [("", "en")], [("\0\ud800", "cy")], [("' OR 1=1 --", "en")], [("\u0301", "en")]]
)
def test_names_that_say_nothing_resemble_nothing(
    glossary: Store, ask: type, names: list[tuple[str, str]]
) -> None:
    with glossary.read() as reader:
        assert ask(reader, names) == ()


def test_entries_made_meanwhile_are_taken_note_of(store: Store) -> None:
    with fill(store).act("Nia", "made entries") as act:
        resembler = Resembler(act)
        assert resembler.why([("haunch throw", "en")]) == ""
        made = enter(act, ("haunch throw", "en"), ("tafliad clun", "cy"))
        resembler.add(made)
        assert resembler.why([("haunch-throw", "en")]) == "same English name, spelt “haunch throw”"
        assert [r.entry_id for r in resembler.resembling([("haunch thro", "en")])] == [made.id]


def test_a_near_name_is_a_reason_to_stop_only_in_every_language_of_the_line(glossary: Store) -> None:
    with glossary.read() as reader:
        resembler = Resembler(reader)
        assert resembler.why([("inside hooc", "en"), ("tafliad", "cy")]) == ""
        assert "bachyn mewnol" in resembler.why([("inside hooc", "en"), ("bachyn mewno", "cy")])


def test_memory_and_tables_answer_alike(glossary: Store) -> None:
    lines = [
        [("back heels", "en"), ("sawdl", "cy")],
        [("trip", "en"), ("maglu", "cy")],
        [("hook inside", "en")],
    ]
    with glossary.read() as reader:
        for names in lines:
            assert (
                from_tables(reader, names) == from_memory(reader, names) == from_memory_alone(reader, names)
            )


@pytest.mark.parametrize(
    ("heads", "others", "found"),
    [
        ([("trip", "en")], [], ["c0003"]),
        ([("tripping", "en")], [("faglu", "cy")], ["c0003"]),
        ([("tripp", "en")], [("baglu", "cy")], []),
        ([("fall", "en")], [("baglu", "cy")], []),
        ([("backheel", "en")], [], ["c0001", "c0002"]),
        ([("backheel", "en")], [("gic ôl", "cy")], ["c0002"]),
        ([("heel", "en"), ("back-heel", "en")], [("sawdl ôl", "cy")], ["c0001"]),
    ],
    ids=["same", "form", "near is not sure", "equivalent alone", "homonyms", "told apart", "other spelling"],
)
def test_a_line_surely_resembles_only_what_bears_its_headword(
    glossary: Store, heads: list[tuple[str, str]], others: list[tuple[str, str]], found: list[str]
) -> None:
    with glossary.read() as reader:
        assert [one.entry_id for one in Resembler(reader).surely(heads, others)] == found
