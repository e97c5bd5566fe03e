"""Records from elsewhere, imported unchanged."""

import pytest

from termbase.errors import InUse
from termbase.record.entries import Entry, Origin, Relation, RelationKind, Term
from termbase.store.bulk import entry_batches, records
from termbase.store.engine import Store


def entry(number: int, *targets: str) -> Entry:
    term = Term(f"t{number}", f"hold {number}", "en", Origin.IN_USE)
    relations = tuple(Relation(RelationKind.SEE_ALSO, target) for target in targets)
    return Entry(f"c{number:04}", terms=(term,), relations=relations, created_by="Owain",
                 created_on="1999-01-01", changed_by="Mair", changed_on="2001-01-01", version=7)  # fmt: skip


def take(store: Store, *entries: Entry) -> None:
    with store.act("Nia", "took them in") as act:
        act.relations_last = True
        for each in entries:
            act.take(each)


def test_imported_records_keep_their_authors_and_version(store: Store) -> None:
    with store.act("Nia", "took it in") as act:
        act.take(entry(1))
    with store.read() as reader:
        assert reader.get(Entry, "c0001") == entry(1)


def test_relations_may_refer_to_later_entries(store: Store) -> None:
    with store.act("Nia", "took them in") as act:
        act.relations_last = True
        act.take(entry(1, "c0002", "c0001"))
        act.flush()
        act.take(entry(2, "c0001"))
    with store.read() as reader:
        assert reader.get(Entry, "c0001").relations == entry(1, "c0002", "c0001").relations
        assert reader.get(Entry, "c0002").relations == entry(2, "c0001").relations


def test_a_relation_without_a_target_rolls_back_the_act(store: Store) -> None:
    with pytest.raises(InUse):
        take(store, entry(1, "c0009"))
    with store.read() as reader:
        assert reader.count(Entry) == 0


def test_rows_are_in_order_of_creation_whatever_the_length_of_ids(store: Store) -> None:
    numbers = [9998, 9999, 10000, 10001, 3]
    with store.act("Nia", "took them in") as act:
        for number in numbers:
            act.take(entry(number))
    with store.read() as reader:
        result = [row[0] for batch in entry_batches(reader) for row in batch.entries]
        assert result == ["c0003", "c9998", "c9999", "c10000", "c10001"]
        assert [e.id for e in records(reader, Entry)] == result
        chosen = [row[0] for batch in entry_batches(reader, ["c10000", "c0003"]) for row in batch.entries]
        assert chosen == ["c10000", "c0003"]
        for batch in entry_batches(reader):
            assert all(batch.parts["terms"][row[0]][0][1] == f"t{int(row[0][1:])}" for row in batch.entries)
