"""Reopening an attached line, with the names that it added."""

from dataclasses import replace

import pytest

from termbase.acts import entries as entry_acts
from termbase.acts import pages as page_acts
from termbase.acts.pages import added_names, reopen
from termbase.record.entries import Entry, Origin, Term
from termbase.record.pages import Line, LineState
from termbase.record.sources import Slip
from termbase.store.engine import Store
from tests.wordlists import word_list_page

TEXT = "grip, s. [strap] gafael, f.\ngrasp, s. [strap] gafael, f.\n"
GRIP, GRASP = "l1", "l2"


@pytest.fixture(autouse=True)
def attached(store: Store) -> None:
    """An entry “hold” with an attached line that added “grip” and “gafael”."""
    with store.act("Nia", "made hold") as act:
        entry_acts.save(act, Entry("", terms=(Term("", "hold", "en", Origin.IN_USE),)))
        word_list_page(act, TEXT)
    with store.act("Nia", "attached") as act:
        page_acts.attach(act, GRIP, "c0001")


def names(store: Store) -> list[str]:
    with store.read() as reader:
        return [t.text for t in reader.get(Entry, "c0001").terms]


def brought_by(store: Store, line_id: str) -> list[str]:
    with store.read() as reader:
        return [t.text for t in added_names(reader, reader.get(Line, line_id))]


def test_names_added_by_a_line_are_deleted_on_request(store: Store) -> None:
    assert brought_by(store, GRIP) == ["grip", "gafael"]
    with store.act("Nia", "reopened") as act:
        reopen(act, GRIP, with_names=True)
    assert names(store) == ["hold"]
    with store.read() as reader:
        assert reader.all(Slip) == ()
        assert reader.get(Line, GRIP).state is LineState.NEW


def test_names_added_by_a_line_stay_by_default(store: Store) -> None:
    with store.act("Nia", "reopened") as act:
        reopen(act, GRIP)
    assert names(store) == ["hold", "grip", "gafael"]


def test_a_name_with_another_slip_stays(store: Store) -> None:
    with store.act("Nia", "attached another") as act:
        page_acts.attach(act, GRASP, "c0001")
    assert brought_by(store, GRIP) == ["grip"]
    assert brought_by(store, GRASP) == ["grasp"]
    with store.act("Nia", "reopened") as act:
        reopen(act, GRIP, with_names=True)
    assert names(store) == ["hold", "gafael", "grasp"]


def test_a_name_edited_since_is_kept(store: Store) -> None:
    with store.act("Nia", "noted") as act:
        entry = act.get(Entry, "c0001")
        terms = tuple(replace(t, usage_note="rare") if t.text == "grip" else t for t in entry.terms)
        entry_acts.save(act, replace(entry, terms=terms))
    assert brought_by(store, GRIP) == ["gafael"]


def test_an_entry_is_never_left_without_a_name(store: Store) -> None:
    with store.act("Nia", "dropped hold") as act:
        entry_acts.delete_term(
            act, "c0001", next(t.id for t in act.get(Entry, "c0001").terms if t.text == "hold")
        )
    assert brought_by(store, GRIP) == []


def test_a_line_that_is_not_attached_added_no_names(store: Store) -> None:
    with store.act("Nia", "made") as act:
        page_acts.make(act, GRASP)
    assert brought_by(store, GRASP) == []
