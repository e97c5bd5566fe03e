"""The history in the browser: recent acts, what an act changed, every change of a record, earlier states."""

from dataclasses import replace

import pytest
from flask.testing import FlaskClient

from termbase.acts import entries
from termbase.record.entries import Entry, Origin, Term, Topic
from termbase.store.engine import Store


@pytest.fixture
def changed(store: Store) -> Store:
    """An entry that was created (act 2) and given a topic (act 3)."""
    with store.act("Gwen", "made the entry gafael") as act:
        made = entries.save(act, Entry("", terms=(Term("", "gafael", "cy", Origin.IN_USE),)))
    with store.act("Ifan", "changed the topic of c0001") as act:
        entries.save(act, replace(made, topic=Topic.HOLD))
    return store


def test_recent_changes_say_who_and_what(client: FlaskClient, changed: Store) -> None:
    page = client.get("/history").text

    assert page.index("Changed the topic of c0001.") < page.index("Made the entry gafael.")
    assert "Ifan" in page


@pytest.mark.parametrize("path", ["/history/entry/c0001", "/history/act/3"])
def test_a_change_is_shown_field_by_field(client: FlaskClient, changed: Store, path: str) -> None:
    page = client.get(path).text

    assert '<th scope="row">topic</th><td>–</td><td><ins>hold</ins></td>' in page


def test_a_reading_that_was_never_signed_is_not_shown_as_reopened(
    client: FlaskClient, changed: Store
) -> None:
    client.post("/entries/c0001/readings/language", data={"do": "not yet", "why": "look again"})
    page = client.get("/history/entry/c0001").text
    assert "language reading, why it is open" in page
    assert "reopened" not in page


def test_an_earlier_state_is_restored_and_that_can_be_undone(client: FlaskClient, changed: Store) -> None:
    answer = client.post("/history/entry/c0001/back/2")

    assert answer.location == "/entries/c0001"
    with changed.read() as reader:
        assert reader.get(Entry, "c0001").topic is None
    client.post("/undo/4")
    with changed.read() as reader:
        assert reader.get(Entry, "c0001").topic is Topic.HOLD


def test_a_deleted_record_can_be_viewed_and_restored(client: FlaskClient, changed: Store) -> None:
    client.post("/entries/c0001/remove")
    assert "It was deleted." in client.get("/history/entry/c0001").text

    client.post("/history/entry/c0001/back/3")

    assert client.get("/entries/c0001").status_code == 200


@pytest.mark.parametrize(
    "path", ["/history/entry/c0099", "/history/cabbage/c0001", "/history/act/99", "/history/act/x"]
)
def test_a_record_that_never_existed_is_a_404(client: FlaskClient, changed: Store, path: str) -> None:
    assert client.get(path).status_code == 404


@pytest.mark.parametrize("path", ["/history/entry/c0001/back/1", "/history/cabbage/c0001/back/2"])
def test_a_state_that_never_existed_is_not_restored(client: FlaskClient, changed: Store, path: str) -> None:
    assert client.post(path).status_code == 404


def test_the_act_that_created_the_termbase_cannot_be_undone(client: FlaskClient, changed: Store) -> None:
    assert 'action="/undo/2"' in client.get("/history").text
    assert 'action="/undo/1"' not in client.get("/history").text
    assert "cannot be undone" in client.get("/history/act/1").text

    answer = client.post("/undo/1")

    assert answer.status_code == 409
    assert "cannot be opened" in answer.text
    for path in ("/", "/history", "/entries/c0001"):
        assert client.get(path).status_code == 200


def test_an_act_of_many_records_is_folded_and_paged(client: FlaskClient, changed: Store) -> None:
    with changed.act("Gwen", "took in a file") as act:
        for n in range(130):
            entries.save(act, Entry("", terms=(Term("", f"gafael {n}", "cy", Origin.WORD_LIST),)))
        entries.save(act, replace(act.get(Entry, "c0001"), topic=Topic.THROW))
        entries.save(act, replace(act.get(Entry, "c0001"), topic=Topic.TRIP))
    first, last = (client.get(f"/history/act/4?page={n}").text for n in (1, 3))

    assert first.count("<details><summary>entry c") == 50
    assert "1 of 3" in first
    assert last.count("<details><summary>entry c") == 31
    assert "entry c0001: 1 field changed" in last
    assert "<del>hold</del></td><td><ins>trip</ins>" in last
    assert client.get("/history/act/4?page=99999").text.count("<details><summary>") == 31
