"""Slips whose quotation does not contain the name: they are kept, do not count, and are asked about."""

import csv
import io

import pytest
from flask.testing import FlaskClient
from lxml import html

from termbase.acts import entries, history
from termbase.acts.sources import save_slip, save_source
from termbase.evidence.scales import NameScale
from termbase.overviews.articles import Library
from termbase.record.entries import Entry, Origin, Term, Topic
from termbase.record.sources import Presence, Slip, SlipKind, Source, SourceKind
from termbase.store.engine import Store

QUESTION = "This quotation does not contain the name, so it does not count."
WITHOUT = "he laid the sole of his foot to the other's ankle as it came forward"


@pytest.fixture
def filled(store: Store) -> Store:
    """A word-list name in English and Welsh, and a newspaper."""
    with store.act("Gwen", "began") as act:
        save_source(act, Source("", "Mail 1871", SourceKind.NEWSPAPER, "The Upland Mail", issued="1871"))
        terms = (
            Term("", "foot-sweep", "en", Origin.WORD_LIST),
            Term("", "ysgubo'r droed", "cy", Origin.WORD_LIST),
        )
        entries.save(act, Entry("", Topic.TRIP, terms))
    return store


def take(client: FlaskClient, text: str, **more: str) -> None:
    data = {"text": text, "term": "t1", "kind": "use", "certainty": "secure", "version": "0", **more}
    assert client.post("/sources/s1/slips/new", data=data).status_code == 303


def scale(store: Store) -> object:
    with store.read() as reader:
        return Library(reader).article("c0001").names["t1"].scale


def slip(store: Store) -> Slip:
    with store.read() as reader:
        return reader.get(Slip, "q1")


def origin(store: Store) -> Origin:
    with store.read() as reader:
        return reader.get(Entry, "c0001").terms[0].origin


def question(client: FlaskClient, address: str) -> dict[str, str]:
    """The form that asks where the name is, as a browser would send it."""
    (form,) = html.fromstring(client.get(address).text).find_class("presence")
    return {"action": form.action, **dict(form.form_values())}


def test_a_slip_without_the_name_is_saved_and_does_not_count(client: FlaskClient, filled: Store) -> None:
    take(client, WITHOUT)

    assert slip(filled).text == WITHOUT
    assert scale(filled) is NameScale.NONE
    assert origin(filled) is Origin.WORD_LIST
    assert "1 quotation does not contain the name and does not count." in client.get("/entries/c0001").text


@pytest.mark.parametrize("address", ["/sources/s1/slips/new", "/entries/c0001"])
def test_after_saving_the_page_asks_where_the_name_is(
    client: FlaskClient, filled: Store, address: str
) -> None:
    take(client, WITHOUT)

    assert QUESTION in client.get(address).text

    take(client, "a fair foot sweep")
    assert QUESTION not in client.get("/sources/s1/slips/new").text


def test_the_answer_makes_it_count(client: FlaskClient, filled: Store) -> None:
    take(client, "Do. by Sorrel, a fair fall")
    asked = question(client, "/entries/c0001")

    client.post(asked.pop("action"), data={**asked, "presence": "ditto"})

    assert slip(filled).presence is Presence.DITTO
    assert scale(filled) is NameScale.ONE
    assert QUESTION not in client.get("/entries/c0001").text
    assert "as a ditto mark" in client.get("/entries/c0001").text


def test_a_description_of_the_movement_is_named_as_one(client: FlaskClient, filled: Store) -> None:
    take(client, WITHOUT)
    asked = question(client, "/entries/c0001")

    client.post(asked.pop("action"), data={**asked, "presence": "description"})

    assert slip(filled).kind is SlipKind.DESCRIPTION
    assert QUESTION not in client.get("/entries/c0001").text


def test_an_answer_that_is_not_an_option_is_refused(client: FlaskClient, filled: Store) -> None:
    take(client, WITHOUT)

    for answer in ("", "somewhere"):
        refused = client.post("/sources/slips/q1/presence", data={"presence": answer})
        assert refused.status_code == 400
        assert "Say how the name appears in the quotation." in refused.text
    assert slip(filled).presence is Presence.FORM


def test_an_answer_about_a_slip_changed_since_is_a_conflict(client: FlaskClient, filled: Store) -> None:
    take(client, WITHOUT)
    asked = question(client, "/entries/c0001")
    take_again = {"text": "a foot-sweep", "term": "t1", "kind": "use", "certainty": "secure", "version": "1"}
    client.post("/sources/slips/q1", data=take_again)

    assert client.post(asked.pop("action"), data={**asked, "presence": "gap"}).status_code == 409


@pytest.mark.parametrize("address", ["/sources/slips/q1", "/entries/c0001/edit/slip-q1"])
def test_both_forms_hold_how_the_name_appears(client: FlaskClient, filled: Store, address: str) -> None:
    take(client, "the f[...]p again", presence="broken")
    assert scale(filled) is NameScale.ONE

    form = html.fromstring(client.get(address).text).get_element_by_id("presence")
    assert form.value == "broken"
    (row,) = csv.DictReader(io.StringIO(client.get("/sources/slips.csv").text.removeprefix("\ufeff")))
    assert row["how the name is there"] == "broken"


def test_an_invalid_answer_is_reported_beside_its_field(client: FlaskClient, filled: Store) -> None:
    data = {"text": "a", "term": "t1", "kind": "use", "certainty": "secure", "version": "0", "presence": "x"}

    refused = client.post("/sources/s1/slips/new", data=data)

    assert refused.status_code == 400
    assert 'id="presence-error"' in refused.text


def test_a_name_of_a_word_list_becomes_in_use_with_its_first_use(client: FlaskClient, filled: Store) -> None:
    take(client, "a fair foot-sweep, and both were down")
    assert origin(filled) is Origin.IN_USE

    with filled.read() as reader:
        act = reader.last_acts(1)[0]
    with filled.act("Gwen", "undone", undoes=act.id) as this:
        history.undo(this, act.id)
    assert origin(filled) is Origin.WORD_LIST


@pytest.mark.parametrize("kind", [SlipKind.MENTION, SlipKind.HEADWORD, SlipKind.NOT_STATED])
def test_other_quotations_do_not_change_the_origin(filled: Store, kind: SlipKind) -> None:
    with filled.act("Gwen", "took a slip") as act:
        save_slip(act, Slip("", "s1", "the foot-sweep", kind=kind, term_id="t1"))

    assert origin(filled) is Origin.WORD_LIST
