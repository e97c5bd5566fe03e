"""Acts: all or nothing, everything in the history, no silent overwriting."""

from concurrent.futures import ThreadPoolExecutor
from dataclasses import replace
from threading import Barrier
from time import sleep

import pytest
from sqlalchemy import select

from termbase.errors import BadInput, Conflict, Damaged, InUse, NotFound
from termbase.record.entries import Definition, Entry, InflectedForm, Origin, Term, Topic
from termbase.record.people import Person, Termbase
from termbase.record.sources import Slip, Source, SourceKind
from termbase.store import tables
from termbase.store.engine import Store


def _source(act, label="Glanmorwen 1898"):
    return act.add(
        Source(act.new_id("source"), label, SourceKind.WORD_LIST, "A Pocket Word-List", issued="1898")
    )


def _entry(act, text="back-heel", **more):
    term = Term(
        act.new_id("term"), text, "en", Origin.WORD_LIST, forms=(InflectedForm("plural", f"{text}s"),)
    )
    return act.add(Entry(act.new_id("entry"), Topic.TRIP, (term,), **more))


def test_added_records_are_read_back_field_for_field(store: Store) -> None:
    with store.act("Nia", "created an entry") as act:
        source = _source(act)
        made = _entry(act, definitions=(Definition("en", "A trip.", source.id), Definition("cy", "Bachiad.")))
    with store.read() as reader:
        assert reader.get(Entry, made.id) == made
        assert reader.get(Source, source.id) == source
    assert (made.id, made.version, made.created_by, made.created_on) == ("c0001", 1, "Nia", "2026-03-01")


def test_a_failing_act_leaves_nothing(store: Store) -> None:
    def fail() -> None:
        with store.act("Nia", "fails") as act:
            _entry(act)
            act.flush()
            raise ZeroDivisionError

    with pytest.raises(ZeroDivisionError):
        fail()
    with store.read() as reader:
        assert reader.count(Entry) == 0
        assert "fails" not in {a.words for a in reader.last_acts()}


def test_an_act_that_changes_nothing_is_not_in_the_history(store: Store) -> None:
    with store.act("Nia", "looked only"):
        pass
    with store.read() as reader:
        assert "looked only" not in {a.words for a in reader.last_acts()}


def test_an_act_reads_what_it_has_written(store: Store) -> None:
    with store.act("Nia", "created an entry") as act:
        source = _source(act)
        made = _entry(act)
        slip = act.add(Slip(act.new_id("slip"), source.id, "Back-heel, s.", term_id=made.terms[0].id))
        assert act.get(Entry, made.id) == made
        assert act.slips_of([made]) == {made.terms[0].id: (slip,)}


def test_ids_are_never_reused(store: Store) -> None:
    with store.act("Nia", "created an entry") as act:
        first = _entry(act)
    with store.act("Nia", "took it away") as act:
        act.remove(Entry, first.id)
    with store.act("Nia", "made another") as act:
        second = _entry(act)
    assert (first.id, second.id) == ("c0001", "c0002")
    assert first.terms[0].id != second.terms[0].id


def test_the_second_of_two_writers_gets_a_conflict(store: Store) -> None:
    with store.act("Nia", "created an entry") as act:
        made = _entry(act)
    with store.act("Nia", "changed it") as act:
        act.put(replace(made, usage_note="Nia's"))
    with pytest.raises(Conflict) as caught, store.act("Emrys", "changed it too") as act:
        act.put(replace(made, usage_note="Emrys's"))
    assert caught.value.where == made.id
    with store.read() as reader:
        assert reader.get(Entry, made.id).usage_note == "Nia's"


def test_of_two_simultaneous_saves_one_gets_a_conflict(store: Store) -> None:
    with store.act("Nia", "created an entry") as act:
        made = _entry(act)
    ready = Barrier(2)

    def save(by: str) -> str:
        ready.wait()
        try:
            with store.act(by, "changed it") as act:
                sleep(0.05)  # the other is at the same place now
                act.put(replace(made, usage_note=by))
                sleep(0.05)
        except Conflict:
            return "told"
        return by

    with ThreadPoolExecutor() as both:
        ended = sorted(both.map(save, ["Emrys", "Nia"]))
    assert ended in (["Emrys", "told"], ["Nia", "told"])
    with store.read() as reader:
        assert reader.get(Entry, made.id).usage_note == ended[0]
        assert len(reader.history(Entry, made.id)) == 2


def test_a_reader_sees_one_snapshot(store: Store) -> None:
    with store.act("Nia", "created an entry") as act:
        made = _entry(act)
    with store.read() as reader:
        before = reader.get(Entry, made.id)
        with store.act("Emrys", "changed it") as act:
            act.put(replace(made, usage_note="rare"))
        assert reader.get(Entry, made.id) == before
    with store.read() as reader:
        assert reader.get(Entry, made.id).usage_note == "rare"


def test_the_history_stores_every_state(store: Store) -> None:
    with store.act("Nia", "created an entry") as act:
        made = _entry(act)
    with store.act("Emrys", "added a note") as act:
        act.put(replace(made, usage_note="rare"))
    with store.act("Nia", "took it away") as act:
        act.remove(Entry, made.id)
    with store.read() as reader:
        history = reader.history(Entry, made.id)
    assert [(c.act.by, c.act.words) for c in history] == [
        ("Nia", "took it away"), ("Emrys", "added a note"), ("Nia", "created an entry"),
    ]  # fmt: skip
    assert [(c.before is None, c.after is None) for c in history] == [
        (False, True),
        (False, False),
        (True, False),
    ]


def test_a_record_in_use_cannot_be_removed(store: Store) -> None:
    with store.act("Nia", "made a slip") as act:
        source = _source(act)
        act.add(Slip(act.new_id("slip"), source.id, "Back-heel, s."))
    with pytest.raises(InUse), store.act("Nia", "removed the source") as act:
        act.remove(Source, source.id)
    with store.read() as reader:
        assert reader.get(Source, source.id) == source


def test_unknown_ids_are_reported(store: Store) -> None:
    with store.read() as reader, pytest.raises(NotFound, match="c0099"):
        reader.get(Entry, "c0099")


def test_terms_keep_their_ids_when_reordered_and_lose_their_rows_when_removed(store: Store) -> None:
    with store.act("Nia", "created an entry") as act:
        made = _entry(act)
        more = Term(act.new_id("term"), "heel-hook", "en", Origin.IN_USE)
        changed = act.put(replace(made, terms=(more, *made.terms)))
    with store.act("Nia", "removed a name") as act:
        act.put(replace(changed, terms=changed.terms[:1]))
    with store.read() as reader:
        assert [t.id for t in reader.get(Entry, made.id).terms] == [more.id]
        assert list(reader.connection.scalars(select(tables.term.c.id))) == [more.id]


def test_one_place_can_have_only_one_termbase(place: str) -> None:
    Store.create(place, Termbase("One", vernaculars=("cy",)), by="Nia").close()
    with pytest.raises(BadInput, match="already"):
        Store.create(place, Termbase("Two"), by="Nia")


def test_a_missing_termbase_is_reported(tmp_path) -> None:
    with pytest.raises(NotFound, match="wordhold new"):
        Store.open(str(tmp_path / "none.sqlite"))


@pytest.mark.parametrize("content", [b"", b"not a database, only words " * 50], ids=["0 bytes", "words"])
def test_a_file_that_is_not_a_termbase_is_rejected(tmp_path, content: bytes) -> None:
    path = tmp_path / "words.txt"
    path.write_bytes(content)
    with pytest.raises((BadInput, Damaged)) as caught:
        Store.open(str(path))
    assert caught.value.where == str(path)
    assert path.read_bytes() == content


@pytest.mark.parametrize("place", ["mysql+nosuch://x/y", "://", "nosuch://x"])
def test_an_invalid_address_is_rejected(place: str) -> None:
    with pytest.raises(BadInput):
        Store.open(place)


def test_changes_of_an_act_are_read_in_pages(store: Store) -> None:
    with store.act("Nia", "made twelve people") as act:
        for n in range(12):
            act.add(Person(act.new_id("person"), f"Person {n}"))
        act.put(replace(act.get(Person, "p3"), name="Add a person"))
    with store.read() as reader:
        newest = reader.last_acts(1)[0].id
        total, first = reader.changed_records(newest, 5)
        _total, rest = reader.changed_records(newest, 100, 5)
        every = reader.changes_of(newest)

    assert total == 12
    assert [change.record_id for change in (*first, *rest)] == [f"p{n}" for n in range(1, 13)]
    (third,) = [change for change in first if change.record_id == "p3"]
    assert third.before is None
    assert "Add a person" in str(third.after)
    assert third.act == every[0].act
