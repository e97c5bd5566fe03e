"""Undoing acts, and restoring earlier states."""

from dataclasses import replace

import pytest

from termbase.acts import entries, history
from termbase.acts.sources import save_slip, save_source
from termbase.errors import Conflict, InUse, NotFound
from termbase.record.entries import Entry, Origin, Term, Topic
from termbase.record.sources import Slip, Source, SourceKind
from termbase.search.finding import find
from termbase.store.engine import Store


def make(store: Store, *texts: str) -> tuple[Entry, int]:
    """An entry with Welsh names, and the number of the act that created it."""
    with store.act("Nia", "created an entry") as act:
        terms = tuple(Term("", text, "cy", Origin.IN_USE) for text in texts)
        made = entries.save(act, Entry("", terms=terms))
    return made, number(act.id)


def change(store: Store, entry: Entry, **to: object) -> tuple[Entry, int]:
    with store.act("Ifan", "changed it") as act:
        after = entries.save(act, replace(act.get(Entry, entry.id), **to))  # type: ignore[arg-type]
    return after, number(act.id)


def number(act_id: int | None) -> int:
    assert act_id is not None
    return act_id


def undo(store: Store, act_id: int) -> int:
    with store.act("Nia", "undid it", undoes=act_id) as act:
        history.undo(act, act_id)
    return number(act.id)


def now(store: Store, entry_id: str) -> Entry | None:
    with store.read() as reader:
        return reader.find(Entry, entry_id)


def same(a: Entry | None, b: Entry) -> bool:
    """Whether two states are equal apart from the version, which always grows."""
    return a is not None and replace(a, version=b.version) == b


def test_undoing_a_change_restores_what_was_before(store: Store) -> None:
    made, _ = make(store, "gafael")
    _, changing = change(store, made, topic=Topic.HOLD)

    undo(store, changing)

    assert same(now(store, made.id), made)


def test_undoing_can_be_undone(store: Store) -> None:
    made, _ = make(store, "gafael")
    changed, changing = change(store, made, topic=Topic.HOLD)

    undo(store, undo(store, changing))

    assert same(now(store, made.id), changed)


def test_undoing_a_creation_deletes_and_the_id_is_not_reused(store: Store) -> None:
    made, making = make(store, "gafael")

    undo(store, making)

    assert now(store, made.id) is None
    assert make(store, "bachiad")[0].id == "c0002"


def test_undoing_a_deletion_restores_the_entry_with_its_slips_and_search_forms(store: Store) -> None:
    made, _ = make(store, "gafael", "afael")
    with store.act("Nia", "quoted") as act:
        source = save_source(act, Source("", "Mail 1871", SourceKind.NEWSPAPER, "The Upland Mail"))
        slip = save_slip(act, Slip("", source.id, "yr afael", term_id=made.terms[1].id))
    with store.act("Nia", "removed it") as act:
        entries.remove(act, made.id)

    undo(store, number(act.id))

    assert same(now(store, made.id), made)
    with store.read() as reader:
        assert reader.get(Slip, slip.id).term_id == made.terms[1].id
        assert [hit.entry_id for hit in find(reader, "gafael")] == [made.id]


def test_an_act_is_not_undone_if_its_records_have_changed_since(store: Store) -> None:
    made, _ = make(store, "gafael")
    _, first = change(store, made, topic=Topic.HOLD)
    after, _ = change(store, made, usage_note="Of boys only.")

    with pytest.raises(Conflict, match="changed since"):
        undo(store, first)

    assert now(store, made.id) == after


def test_a_creation_is_not_undone_while_something_refers_to_it(store: Store) -> None:
    made, making = make(store, "gafael")
    other, _ = make(store, "bachiad")
    with store.act("Nia", "related them") as act:
        entries.relate(act, other.id, "see also", made.id)

    with pytest.raises(InUse):
        undo(store, making)

    assert now(store, made.id) == made


def test_an_act_that_never_existed_is_not_undone(store: Store) -> None:
    with pytest.raises(NotFound, match="999"):
        undo(store, 999)


def test_an_earlier_state_is_restored_as_the_newest(store: Store) -> None:
    made, making = make(store, "gafael")
    change(store, made, topic=Topic.HOLD)
    change(store, made, usage_note="Of boys only.")

    with store.act("Nia", "restored it") as act:
        history.restore_state(act, "entry", made.id, making)

    restored = now(store, made.id)
    assert same(restored, made)
    assert restored is not None
    assert restored.version == 4


def test_a_deleted_record_is_restored(store: Store) -> None:
    made, making = make(store, "gafael")
    with store.act("Nia", "removed it") as act:
        entries.remove(act, made.id)

    with store.act("Nia", "restored it") as act:
        history.restore_state(act, "entry", made.id, making)

    assert same(now(store, made.id), made)


def test_slips_of_names_missing_in_a_restored_state_become_unsorted(store: Store) -> None:
    made, making = make(store, "gafael")
    after, _ = change(store, made, terms=(*made.terms, Term("", "afael", "cy", Origin.IN_USE)))
    with store.act("Nia", "quoted") as act:
        source = save_source(act, Source("", "Mail 1871", SourceKind.NEWSPAPER, "The Upland Mail"))
        slip = save_slip(act, Slip("", source.id, "yr afael", term_id=after.terms[1].id))

    with store.act("Nia", "restored it") as act:
        history.restore_state(act, "entry", made.id, making)

    assert same(now(store, made.id), made)
    with store.read() as reader:
        assert reader.get(Slip, slip.id).term_id == ""


@pytest.mark.parametrize(("kind", "act_id"), [("entry", 0), ("entry", "removing"), ("cabbage", 1)])
def test_a_state_that_never_existed_is_not_restored(store: Store, kind: str, act_id: int | str) -> None:
    made, _ = make(store, "gafael")
    with store.act("Nia", "removed it") as act:
        entries.remove(act, made.id)
    removing = number(act.id)

    with pytest.raises(NotFound), store.act("Nia", "restored it") as act:
        history.restore_state(act, kind, made.id, removing if act_id == "removing" else int(act_id))


def test_the_state_after_any_act_can_be_viewed(store: Store) -> None:
    made, making = make(store, "gafael")
    changed, changing = change(store, made, topic=Topic.HOLD)

    with store.read() as reader:
        assert history.state_of(reader, "entry", made.id, making) == made
        assert history.state_of(reader, "entry", made.id, changing) == changed
        assert history.state_of(reader, "entry", made.id, making - 1) is None


def test_an_act_is_not_undone_if_the_termbase_could_not_be_opened_afterwards(store: Store) -> None:
    with store.read() as reader:
        assert history.making_act(reader) == 1
    with pytest.raises(InUse, match="cannot be opened") as refused:
        undo(store, 1)
    assert refused.value.fix
    with store.read() as reader:
        assert reader.termbase().title
        assert len(reader.last_acts()) == 1
