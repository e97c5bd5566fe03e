"""Lists of entries: order, filters and rows; and cached answers."""

from collections.abc import Iterator
from dataclasses import replace

import pytest

from termbase.acts import entries
from termbase.acts.rules import save_code
from termbase.acts.sources import save_slip, save_source
from termbase.overviews.progress import is_empty, overview
from termbase.record.entries import Entry, Origin, Term, Topic
from termbase.record.sources import Slip, Source, SourceKind
from termbase.rules.clauses import LegRule, RuleCode
from termbase.store.caching import remembered
from termbase.store.engine import Store
from termbase.store.entry_lists import EntryFilter, all_ids, count_entries, list_entries, section_letters
from termbase.store.reading import Reader
from termbase.store.verdicts import entries_with_verdict, verdict_words
from termbase.technique.profile import Profile, Stated

KICK = Profile(leg_use=Stated("kick"))


def make(store: Store, *names: tuple[str, str, Origin], **more: object) -> Entry:
    with store.act("Nia", "created an entry") as act:
        terms = tuple(Term("", text, language, origin) for text, language, origin in names)
        return entries.save(act, Entry("", terms=terms, **more))  # type: ignore[arg-type]


@pytest.fixture
def reader(store: Store) -> Iterator[Reader]:
    """c0001 codwm · fall, c0002 chwith (a kick), c0003 cic · kick, read for language, c0004 English only."""
    use, coined = Origin.IN_USE, Origin.COINED
    fall = make(store, ("fall", "en", use), ("codwm", "cy", use), topic=Topic.FALL)
    make(store, ("chwith", "cy", coined), topic=Topic.KICK, technique=KICK)
    make(store, ("kick", "en", use), ("cic", "cy", use), topic=Topic.KICK)
    make(store, ("ring", "en", use))
    with store.act("Nia", "quoted, signed and wrote rules") as act:
        source = save_source(act, Source("", "Mail 1871", SourceKind.NEWSPAPER, "The Upland Mail"))
        save_slip(act, Slip("", source.id, "a fair fall", term_id=fall.terms[0].id))
        entries.sign(act, "c0003", "language")
        save_code(
            act, RuleCode("", "Fair rules", clauses=(LegRule(id="L1", stance="barred", uses=("kick",)),))
        )
    with store.read() as result:
        yield result


# In Welsh "ch" is a letter after "c" (CLDR, Welsh tailoring): cic, codwm, chwith.
@pytest.mark.parametrize(
    ("wanted", "language", "ids"),
    [
        (EntryFilter(), "cy", ["c0003", "c0001", "c0002", "c0004"]),
        (EntryFilter(), "en", ["c0001", "c0003", "c0004", "c0002"]),
        (EntryFilter(topic="kick"), "cy", ["c0003", "c0002"]),
        (EntryFilter(origin="coined"), "cy", ["c0002"]),
        (EntryFilter(stage="language open"), "cy", ["c0001", "c0002", "c0004"]),
        (EntryFilter(stage="ready"), "cy", []),
        (EntryFilter(source_id="s1"), "cy", ["c0001"]),
        (EntryFilter(section="Ch"), "cy", ["c0002"]),
        (EntryFilter(section="C"), "cy", ["c0003", "c0001"]),
        (EntryFilter(technique=True), "cy", ["c0002"]),
        (EntryFilter(ids=frozenset({"c0004", "c0002", "c0001", "c0099"})), "cy", ["c0001", "c0002", "c0004"]),
        (EntryFilter(ids=frozenset({"c0002", "c0003"}), topic="fall"), "cy", []),
        (EntryFilter(ids=frozenset({"c0002", "c0003"}), section="Ch"), "cy", ["c0002"]),
        (EntryFilter(ids=frozenset()), "cy", []),
    ],
)
def test_a_list_is_in_alphabetical_order_and_counted(
    reader: Reader, wanted: EntryFilter, language: str, ids: list[str]
) -> None:
    assert all_ids(reader, wanted, language) == ids
    assert [row.id for row in list_entries(reader, wanted, language)] == ids
    assert [row.id for row in list_entries(reader, wanted, language, offset=1, limit=2)] == ids[1:3]
    assert count_entries(reader, wanted, language) == len(ids)


@pytest.mark.parametrize("ids", [None, frozenset({"c0001", "c0002", "c0003", "c0004"})], ids=["all", "by id"])
def test_in_descending_order_entries_without_a_name_still_come_last(
    reader: Reader, ids: frozenset[str] | None
) -> None:
    result = all_ids(reader, EntryFilter(ids=ids), "cy", descending=True)

    assert result == ["c0002", "c0001", "c0003", "c0004"]


def test_a_row_contains_what_the_list_shows(reader: Reader) -> None:
    (row,) = list_entries(reader, EntryFilter(topic="fall"), "cy")

    assert [(head.text, head.language, head.origin) for head in row.heads] == [
        ("fall", "en", Origin.IN_USE),
        ("codwm", "cy", Origin.IN_USE),
    ]
    assert (row.topic, row.names, row.slips, row.ready) == (Topic.FALL, {"fall", "codwm"}, 1, False)
    assert row.head("gd") is None


def test_letters_are_in_the_order_of_their_alphabet(reader: Reader) -> None:
    assert section_letters(reader, "cy") == (("C", 2), ("Ch", 1))


def test_a_verdict_is_found_by_its_word_and_a_ruling_overrides_it(store: Store, reader: Reader) -> None:
    (code,) = reader.all(RuleCode)
    (row,) = list_entries(reader, EntryFilter(technique=True), "cy")

    assert verdict_words(code, [(row.technique, row.names)] * 2) == ["breaks the rules"] * 2
    assert entries_with_verdict(reader, code, ["breaks the rules"]) == {"c0002"}

    with store.act("Nia", "ruled") as act:
        entries.rule(act, "c0002", code.id, "fits", "A push.")
    with store.read() as after:
        assert entries_with_verdict(after, code, ["breaks the rules"]) == frozenset()
        assert entries_with_verdict(after, code, ["fits"]) == {"c0002"}


def test_a_cached_answer_is_computed_once_until_the_next_act(store: Store) -> None:
    asked: list[int] = []

    def count(reader: Reader) -> int:
        asked.append(1)
        return reader.count(Entry)

    for _ in range(2):
        with store.read() as reader:
            assert remembered(reader, "entries", count) == 0
    assert len(asked) == 1

    make(store, ("fall", "en", Origin.IN_USE))
    with store.read() as reader:
        assert remembered(reader, "entries", count) == 1


def test_two_termbases_have_separate_caches(store: Store, tmp_path_factory: pytest.TempPathFactory) -> None:
    other = Store.create(
        str(tmp_path_factory.mktemp("other") / "other.wordhold"),
        replace(_termbase(store), title="Other"),
        by="Nia",
    )
    for each in (store, other):
        with each.read() as reader:
            assert remembered(reader, "title", lambda r: r.termbase().title) == reader.termbase().title
    other.close()


def _termbase(store: Store):  # type: ignore[no-untyped-def]
    with store.read() as reader:
        return reader.termbase()


def test_an_overview_counts_and_names_the_next_step(reader: Reader) -> None:
    result = overview(reader)

    assert (result.entries, result.ready, result.language_open, result.practice_open) == (4, 0, 3, 4)
    assert (result.next_language, result.next_practice) == ("c0001", "c0001")
    assert (result.undefined, result.unsorted, result.slips, result.sources) == (4, 0, 1, 1)
    assert not is_empty(reader)


def test_a_fresh_termbase_is_empty(store: Store) -> None:
    with store.read() as fresh:
        assert is_empty(fresh)
        assert overview(fresh).entries == 0
