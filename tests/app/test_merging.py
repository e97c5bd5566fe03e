"""Merging two entries in the browser: preview, conflicts, the old address, separating again."""

from dataclasses import replace

import pytest
from flask.testing import FlaskClient

from termbase.acts import entries
from termbase.acts.pages import add_page
from termbase.acts.sources import save_source
from termbase.record.entries import Definition, Entry, Origin, Status, Term, Topic
from termbase.record.pages import Line
from termbase.record.sources import Source, SourceKind
from termbase.record.trials import Trial
from termbase.store.engine import Store
from termbase.wordlists.pattern_files import write_pattern
from termbase.wordlists.stock import STOCK

FIRST, OTHER = "c0001", "c0002"


def name(text: str, tag: str = "cy", **more: object) -> Term:
    return Term("", text, tag, Origin.IN_USE, **more)  # type: ignore[arg-type]


@pytest.fixture(autouse=True)
def _filled(store: Store) -> None:
    """Two entries that conflict in topic, definition and preferred name."""
    with store.act("Nia", "filled") as act:
        for text, topic, definition in (
            ("gafael", Topic.HOLD, "A hold."),
            ("gafaela", Topic.TRIP, "A trip."),
        ):
            terms = (name(text, status=Status.PREFERRED), name("grip", "en"))
            entries.save(act, Entry("", topic, terms, definitions=(Definition("en", definition),)))


CHOICES = {"choose topic": "this", "choose definition en": "both", "choose preferred cy": "other"}


def entry(store: Store, entry_id: str) -> Entry | None:
    with store.read() as reader:
        return reader.find(Entry, entry_id)


def test_the_entry_suggests_others_with_similar_names(client: FlaskClient) -> None:
    assert f"/entries/{FIRST}/merge" in client.get(f"/entries/{FIRST}").text

    page = client.get(f"/entries/{FIRST}/merge").text

    assert f"/entries/{FIRST}/merge?other={OTHER}" in page
    assert "same English name" in page


def test_proof_leads_from_a_likely_duplicate_to_the_preview(client: FlaskClient, store: Store) -> None:
    page = client.get("/proof?check=likely-duplicate").text

    assert f"/entries/{FIRST}/merge?other={OTHER}" in page


@pytest.mark.parametrize("typed", [OTHER, "gafaela", f"{OTHER} gafaela · grip"])
def test_the_preview_shows_both_sides_of_each_conflict_and_writes_nothing(
    client: FlaskClient, store: Store, typed: str
) -> None:
    page = client.get(f"/entries/{FIRST}/merge", query_string={"other": typed}).text

    assert all(f'name="{field}" value="{side}"' in page for field in CHOICES for side in ("this", "other"))
    assert 'name="choose definition en" value="both"' in page
    assert page.count("not chosen yet") == 3
    assert "A hold." in page
    assert "A trip." in page
    assert entry(store, OTHER) is not None


def test_choices_are_kept_in_a_new_preview(client: FlaskClient) -> None:
    page = client.get(f"/entries/{FIRST}/merge", query_string={"other": OTHER, **CHOICES}).text

    assert page.count(" checked") == 3
    assert "not chosen yet" not in page


def test_merging_needs_every_choice_and_keeps_those_made(client: FlaskClient, store: Store) -> None:
    some = {"other": OTHER, "choose topic": "other"}

    answer = client.post(f"/entries/{FIRST}/merge", data=some)

    assert answer.status_code == 400
    assert 'value="other" checked' in answer.text
    assert entry(store, OTHER) is not None


def test_after_merging_the_old_address_redirects_and_they_can_be_separated(
    client: FlaskClient, store: Store
) -> None:
    answer = client.post(f"/entries/{FIRST}/merge", data={"other": OTHER, **CHOICES})

    assert answer.status_code == 303
    merged = entry(store, FIRST)
    assert merged is not None
    assert [t.text for t in merged.terms] == ["gafael", "grip", "gafaela"]
    assert merged.topic is Topic.HOLD
    for path in ("", "/merge", "/edit/topic"):
        led = client.get(f"/entries/{OTHER}{path}")
        assert (led.status_code, led.location) == (302, f"/entries/{FIRST}{path}")
    assert client.post(f"/entries/{OTHER}/edit/topic", data={"topic": "fall"}).status_code == 409
    assert f"/entries/parted/{OTHER}" in client.get(f"/entries/{FIRST}").text

    parted = client.post(f"/entries/parted/{OTHER}")

    assert parted.location == f"/entries/{OTHER}"
    assert entry(store, OTHER) is not None
    assert "gafaela" in client.get(f"/entries/{OTHER}").text


def test_every_reference_to_the_old_id_leads_to_the_merged_entry(client: FlaskClient, store: Store) -> None:
    with store.act("Nia", "more") as act:
        third = entries.save(act, Entry("", terms=(name("bachiad"),)))
        pattern = write_pattern(STOCK["pocket list"])
        source = save_source(act, Source("", "List", SourceKind.WORD_LIST, "A list", pattern=pattern))
        page = add_page(act, source.id, "1", "Fall, s. cwymp, m. codwm, m.")
    client.post(f"/entries/{FIRST}/merge", data={"other": OTHER, **CHOICES})
    with store.read() as reader:
        (line,) = reader.all(Line, page_id=page.id)

    assert f'value="{FIRST} ' in client.get(f"/trials/new?entry={OTHER}").text
    assert client.get(f"/rules/r1/on/{OTHER}?year=1890").location == f"/rules/r1/on/{FIRST}?year=1890"
    assert f'href="/entries/{FIRST}"' in client.get(f"/history/entry/{OTHER}").text
    trial = {
        "entry": OTHER,
        "outcome": "works",
        "version": "0",
        "date": "2024-02-01",
        "people": "R.A.",
        "safety": "Mats.",
        "injuries": "None.",
    }
    assert client.post("/trials/new", data=trial).status_code == 303
    attached = {"entry": OTHER, "version": str(line.version)}
    answer = client.post(f"/pages/{page.id}/lines/{line.id}/attach", data=attached)
    assert answer.status_code == 303
    relation = {"kind": "narrower", "target": OTHER}
    assert client.post(f"/entries/{third.id}/edit/relations", data=relation).status_code == 303
    with store.read() as reader:
        assert [trial.entry_id for trial in reader.all(Trial)] == [FIRST]
        assert reader.get(Line, line.id).entry_ids == (FIRST,)
        assert [r.target_id for r in reader.get(Entry, FIRST).relations] == [third.id]

    assert client.post(f"/entries/{third.id}/unrelate", data=relation).status_code == 303
    with store.read() as reader:
        assert reader.get(Entry, FIRST).relations == ()


def test_a_change_since_the_preview_shows_the_preview_again(client: FlaskClient, store: Store) -> None:
    with store.act("Ifan", "changed") as act:
        entries.save(act, replace(act.get(Entry, OTHER), editor_note="Ask."))

    answer = client.post(
        f"/entries/{FIRST}/merge",
        data={"other": OTHER, "version": [f"{FIRST} 1", f"{OTHER} 1"], **CHOICES},
    )

    assert answer.status_code == 409
    assert entry(store, OTHER) is not None


@pytest.mark.parametrize("typed", ["c0001", "nothing like it", "c9999", "\x00", "‮", "' OR 1=1"])
def test_an_invalid_other_entry_is_reported_beside_the_field(client: FlaskClient, typed: str) -> None:
    answer = client.get(f"/entries/{FIRST}/merge", query_string={"other": typed})

    assert answer.status_code == 400
    assert 'class="error"' in answer.text


def test_an_impossible_answer_is_refused(client: FlaskClient) -> None:
    data = {"other": OTHER, **CHOICES, "choose topic": "both"}

    assert client.post(f"/entries/{FIRST}/merge", data=data).status_code == 400
