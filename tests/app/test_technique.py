"""Entering how a technique is done: the form, the preview, and borrowing."""

import re

from flask.testing import FlaskClient

from termbase.record.entries import Entry
from termbase.rules.files import read_profiles
from termbase.store.engine import Store
from termbase.technique.profile import Profile
from termbase.technique.words import ATTRIBUTES, statements_of


def sent(profile: Profile | None, version: int) -> dict[str, list[str]]:
    """Return the data the form of a profile sends if nothing is changed."""
    data: dict[str, list[str]] = {"version": [str(version)], "basis": ["reading"], "ref": [""]}
    stated = statements_of(profile)
    for attribute in ATTRIBUTES:
        statement = stated.get(attribute.path)
        data[attribute.path] = list(statement.values) if statement else []
        data[f"{attribute.path}-basis"] = [statement.basis if statement else "reading"]
        data[f"{attribute.path}-ref"] = [statement.ref if statement else ""]
    return data


def entry_of(store: Store, entry_id: str = "c0015") -> Entry:
    with store.read() as reader:
        return reader.get(Entry, entry_id)


def test_every_attribute_can_be_stated_without_a_script_not_stated_first(demo_client: FlaskClient) -> None:
    page = demo_client.get("/entries/c0015/technique").text
    for attribute in ATTRIBUTES:
        kind = "checkbox" if attribute.several else "radio"
        values = re.findall(rf'type="{kind}" name="{re.escape(attribute.path)}" value="([^"]*)"', page)
        assert values == list(attribute.values) if attribute.several else ["", *attribute.values]
    assert '<section id="technique" data-part' in page
    assert page.count('role="checkbox"') > 80
    assert "Throws and trips can injure" in page


def test_saving_unchanged_changes_nothing(demo_client: FlaskClient, demo_store: Store) -> None:
    before = entry_of(demo_store)
    data = sent(before.technique, before.version)
    answer = demo_client.post("/entries/c0015/technique", data=data)
    assert (answer.status_code, answer.location) == (303, "/entries/c0015#technique")
    assert entry_of(demo_store).technique == before.technique


def test_changed_values_get_the_basis_in_the_form_and_others_keep_theirs(
    demo_client: FlaskClient, demo_store: Store
) -> None:
    before = entry_of(demo_store)
    data = sent(before.technique, before.version)
    data |= {"facing": ["side"], "basis": ["trial"], "ref": ["m9"]}
    demo_client.post("/entries/c0015/technique", data=data)
    after, was = statements_of(entry_of(demo_store).technique), statements_of(before.technique)
    assert (after["facing"].values, after["facing"].basis, after["facing"].ref) == (("side",), "trial", "m9")
    assert {p: s for p, s in after.items() if p != "facing"} == {
        p: s for p, s in was.items() if p != "facing"
    }


def test_a_value_can_have_its_own_basis(demo_client: FlaskClient, demo_store: Store) -> None:
    before = entry_of(demo_store)
    data = sent(before.technique, before.version)
    data |= {"facing": ["side"], "facing-basis": ["slip"], "facing-ref": ["q12"], "basis": ["trial"]}
    demo_client.post("/entries/c0015/technique", data=data)
    statement = statements_of(entry_of(demo_store).technique)["facing"]
    assert (statement.basis, statement.ref) == ("slip", "q12")


def test_the_picture_the_words_and_the_verdicts_follow_the_form(
    demo_client: FlaskClient, demo_store: Store
) -> None:
    before = entry_of(demo_store)
    data = sent(before.technique, before.version) | {"leg_use": ["kick"]}
    page = demo_client.post("/entries/c0015/technique/look", data=data)
    assert page.status_code == 200
    assert "kicks his right heel" in page.text
    assert "breaks the rules" in page.text
    assert "fig-blow" in page.text
    assert entry_of(demo_store) == before
    bad = demo_client.post("/entries/c0015/technique/look", data=data | {"leg_use": ["dance"]})
    assert bad.status_code == 400


def test_a_bad_value_is_reported_beside_its_field(demo_client: FlaskClient, demo_store: Store) -> None:
    before = entry_of(demo_store)
    data = sent(before.technique, before.version) | {"facing": ["upside down"]}
    answer = demo_client.post("/entries/c0015/technique", data=data)
    assert answer.status_code == 400
    assert 'id="facing-error"' in answer.text
    assert entry_of(demo_store) == before


def test_the_second_of_two_people_sees_both_versions(demo_client: FlaskClient, demo_store: Store) -> None:
    before = entry_of(demo_store)
    data = sent(before.technique, before.version)
    assert demo_client.post("/entries/c0015/technique", data=data | {"facing": ["side"]}).status_code == 303
    second = demo_client.post("/entries/c0015/technique", data=data | {"facing": ["behind him"]})
    assert second.status_code == 409
    assert "Current value" in second.text
    assert 'name="facing" value="behind him" checked' in second.text


def test_a_technique_is_borrowed_and_says_that_it_is_inferred(
    demo_client: FlaskClient, demo_store: Store
) -> None:
    page = demo_client.get("/entries/c0001/technique?lend=c0015").text
    assert "Borrowed from back-heel" in page
    assert page.count("based on: analogue back-heel") > 10
    assert entry_of(demo_store, "c0001").technique is None


def test_names_and_note_are_kept_shown_and_changed(demo_client: FlaskClient, demo_store: Store) -> None:
    before = entry_of(demo_store)
    data = sent(before.technique, before.version)
    data |= {"names": ["hook, inner\r\n\r\n second name "], "note": ["Two readings.\r\nOne is doubtful."]}
    assert demo_client.post("/entries/c0015/technique", data=data).status_code == 303
    technique = entry_of(demo_store).technique
    assert technique is not None
    assert technique.names == ("hook, inner", "second name")
    assert technique.note == "Two readings.\nOne is doubtful."
    assert "second name" in demo_client.get("/entries/c0015").text
    page = demo_client.get("/entries/c0015/technique").text
    assert "hook, inner\nsecond name</textarea>" in page
    assert "One is doubtful.</textarea>" in page
    file = demo_client.get("/rules/profiles.toml").text
    (row,) = [row for row in read_profiles(file, "x") if row.id == "c0015"]
    assert row.note == technique.note
    assert row.names[-2:] == technique.names
