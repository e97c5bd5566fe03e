"""The Trials section: the list, recording, and contradictions with a verdict."""

import csv
import io

import pytest
from flask.testing import FlaskClient
from PIL import Image

from termbase.record.trials import Trial
from termbase.store.engine import Store

GOOD = {
    "entry": "c0015 back-heel", "code": "r1", "date": "2024-02-03", "outcome": "works",
    "people": "R.A., D.P.",
    "safety": "Mats.", "injuries": "None.", "version": "0",
}  # fmt: skip


def trials_of(store: Store) -> tuple[Trial, ...]:
    with store.read() as reader:
        return reader.all(Trial)


def test_an_empty_termbase_says_what_a_trial_is(client: FlaskClient) -> None:
    page = client.get("/trials").text
    assert "There are no trials yet." in page
    assert "Throws and trips can injure" in page


def test_trials_are_listed_newest_first_and_contradictions_are_flagged_in_words(
    demo_client: FlaskClient,
) -> None:
    page = demo_client.get("/trials").text
    assert page.index("12 April 2025") < page.index("8 February")
    assert page.count("contradicts the verdict:") == 2
    only = demo_client.get("/trials?against=1").text
    assert "2 trials" in only
    assert "fall-back" in only


@pytest.mark.parametrize(
    ("address", "count"),
    [
        ("/trials?part=1&q=rib", "1 trial<"),
        ("/trials?outcome=fails", "1 trial "),
        ("/trials?code=r3", "3 trials "),
        ("/trials?find=zebra", "No trial matches."),
    ],
)
def test_the_list_is_filtered(demo_client: FlaskClient, address: str, count: str) -> None:
    assert count.rstrip("< ") in demo_client.get(address).text


def test_the_list_downloads_as_shown(demo_client: FlaskClient, demo_store: Store) -> None:
    demo_client.post("/trials/new", data=GOOD | {"done": "=cmd()"})
    text = demo_client.get("/trials/trials.csv?find=cmd").text
    rows = list(csv.reader(io.StringIO(text.removeprefix("\ufeff"))))
    assert len(rows) == 2
    assert "'=cmd()" in rows[1]


def test_the_form_shows_the_entry_in_the_address_and_its_cautions(demo_client: FlaskClient) -> None:
    page = demo_client.get("/trials/new?entry=c0033&code=r1").text
    assert 'value="c0033 arm-lock' in page
    assert "It bends or presses a joint" in page
    assert "Young people: only with the consent of coach and guardian." in page
    assert "breaks the rules" in page
    assert demo_client.get("/trials/new?entry=c9999").status_code == 200


def test_a_trial_is_recorded_shown_changed_and_deleted(demo_client: FlaskClient, demo_store: Store) -> None:
    picture = io.BytesIO()
    Image.new("RGB", (4, 4)).save(picture, "PNG")
    data = GOOD | {"pictures": (io.BytesIO(picture.getvalue()), "mat.png")}
    answer = demo_client.post("/trials/new", data=data, content_type="multipart/form-data")
    assert answer.status_code == 303
    kept = trials_of(demo_store)[-1]
    assert (kept.entry_id, kept.code_id, len(kept.image_ids)) == ("c0015", "r1", 1)
    page = demo_client.get(answer.location).text
    assert "R.A., D.P." in page
    assert f"/entries/image/{kept.image_ids[0]}" in page
    change = GOOD | {
        "version": str(kept.version),
        "injuries": "A bruise.",
        f"drop-{kept.image_ids[0]}": "yes",
    }
    assert demo_client.post(f"/trials/{kept.id}/edit", data=change).status_code == 303
    changed = trials_of(demo_store)[-1]
    assert (changed.injuries, changed.image_ids) == ("A bruise.", ())
    stale = demo_client.post(f"/trials/{kept.id}/edit", data=change | {"injuries": "None at all."})
    assert stale.status_code == 409
    assert "A bruise." in stale.text
    assert "None at all." in stale.text
    assert demo_client.post(f"/trials/{kept.id}/remove").status_code == 303
    assert kept.id not in {t.id for t in trials_of(demo_store)}


@pytest.mark.parametrize(
    ("change", "expected"),
    [
        ({"date": ""}, 'id="date-error"'),
        ({"date": "in spring"}, 'id="date-error"'),
        ({"outcome": ""}, 'id="outcome-error"'),
        ({"entry": "c9999"}, 'id="entry-error"'),
        ({"entry": ""}, 'id="entry-error"'),
        ({"code": "r9"}, 'id="code-error"'),
        ({"young": "yes", "coach": "yes"}, "both consents are needed"),
    ],
)
def test_invalid_input_is_reported_beside_its_field_and_kept(
    demo_client: FlaskClient, demo_store: Store, change: dict[str, str], expected: str
) -> None:
    before = trials_of(demo_store)
    answer = demo_client.post("/trials/new", data=GOOD | {"done": "Heel hooked."} | change)
    assert answer.status_code == 400
    assert expected in answer.text
    assert "Heel hooked." in answer.text
    assert trials_of(demo_store) == before


def test_young_people_are_recorded_only_with_both_consents(
    demo_client: FlaskClient, demo_store: Store
) -> None:
    young = {"young": "yes", "coach": "yes", "guardian": "yes"}
    demo_client.post("/trials/new", data=GOOD | young)
    kept = trials_of(demo_store)[-1]
    assert kept.safety == "Mats.\nYoung people took part, with the consent of coach and guardian."
    page = demo_client.get(f"/trials/{kept.id}/edit").text
    assert page.count(" checked") >= 3
    again = GOOD | young | {"version": "1", "safety": kept.safety}
    demo_client.post(f"/trials/{kept.id}/edit", data=again)
    assert trials_of(demo_store)[-1].safety == kept.safety


def test_a_file_that_is_not_a_picture_is_refused(demo_client: FlaskClient) -> None:
    data = GOOD | {"pictures": (io.BytesIO(b"hello"), "mat.png")}
    answer = demo_client.post("/trials/new", data=data, content_type="multipart/form-data")
    assert answer.status_code == 400
    assert 'id="pictures-error"' in answer.text


@pytest.mark.parametrize("typed", ["back-heel", "Back heels", "fachiad sawdl", "c0015"])
def test_the_entry_is_found_by_any_form_of_its_name(
    demo_client: FlaskClient, demo_store: Store, typed: str
) -> None:
    assert demo_client.post("/trials/new", data=GOOD | {"entry": typed}).status_code == 303
    assert trials_of(demo_store)[-1].entry_id == "c0015"


def test_a_name_of_several_entries_is_asked_about_and_nothing_is_lost(
    demo_client: FlaskClient, demo_store: Store
) -> None:
    before = trials_of(demo_store)
    asked = demo_client.post("/trials/new", data=GOOD | {"entry": "hold", "done": "Slowly."})
    assert asked.status_code == 400
    assert trials_of(demo_store) == before
    assert 'name="choose-entry" value="c0008"' in asked.text
    assert "Slowly." in asked.text
    chosen = demo_client.post("/trials/new", data=GOOD | {"entry": "hold", "choose-entry": "c0008"})
    assert chosen.status_code == 303
    assert trials_of(demo_store)[-1].entry_id == "c0008"


def test_a_name_that_no_entry_has_is_reported(demo_client: FlaskClient, demo_store: Store) -> None:
    before = trials_of(demo_store)
    refused = demo_client.post("/trials/new", data=GOOD | {"entry": "xylophone"})
    assert refused.status_code == 400
    assert "No entry is called “xylophone”." in refused.text
    assert trials_of(demo_store) == before


def test_the_date_is_typed_in_plain_words_and_defaults_to_today(
    demo_client: FlaskClient, demo_store: Store
) -> None:
    assert 'value="1 May 2024" id="date" name="date" required' in " ".join(
        demo_client.get("/trials/new").text.split()
    )
    assert demo_client.post("/trials/new", data=GOOD | {"date": "14 Chwefror 2024"}).status_code == 303
    assert trials_of(demo_store)[-1].date == "2024-02-14"


def test_a_date_that_can_be_two_days_is_asked_about(demo_client: FlaskClient, demo_store: Store) -> None:
    asked = demo_client.post("/trials/new", data=GOOD | {"date": "3/2/2024"})
    assert asked.status_code == 400
    assert 'name="choose-date" value="2024-02-03"' in asked.text
    assert "2 March 2024" in asked.text
    demo_client.post("/trials/new", data=GOOD | {"date": "3/2/2024", "choose-date": "2024-02-03"})
    assert trials_of(demo_store)[-1].date == "2024-02-03"


def test_a_day_in_the_future_is_asked_about(demo_client: FlaskClient, demo_store: Store) -> None:
    before = trials_of(demo_store)
    asked = demo_client.post("/trials/new", data=GOOD | {"date": "2036-05-03"})
    assert asked.status_code == 400
    assert "is in the future" in asked.text
    assert trials_of(demo_store) == before
    meant = GOOD | {"date": "2036-05-03", "choose-date": "2036-05-03"}
    assert demo_client.post("/trials/new", data=meant).status_code == 303


def test_an_injury_is_shown_before_how_it_is_done(demo_client: FlaskClient) -> None:
    notice = "Someone was hurt when this was tried: Bruised rib, D.P., four days."
    for address in ("/entries/c0018", "/rules/r2/on/c0018", "/entries/c0018/technique", "/trials/m4"):
        page = demo_client.get(address).text
        assert notice in page, address
        figure = page.find('<figure class="technique-figure"')
        assert figure < 0 or page.index(notice) < figure, address
    assert "someone was hurt" not in demo_client.get("/entries/c0019").text
    listed = demo_client.get("/entries?q=twine").text
    assert "someone was hurt" in listed
    proof = demo_client.get("/proof").text
    assert "Someone was hurt in trial m4" in proof or "someone-hurt" in proof


def test_an_injury_is_reported_in_the_readers_language(demo_client: FlaskClient) -> None:
    page = demo_client.get("/entries/c0018", headers={"Accept-Language": "cy"}).text
    assert "Anafwyd rhywun" in page
    assert "Bruised rib" in page


def test_people_named_in_full_are_refused_and_their_initials_offered(
    demo_client: FlaskClient, demo_store: Store
) -> None:
    before = trials_of(demo_store)
    asked = demo_client.post("/trials/new", data=GOOD | {"people": "Ruth Ashbarrow, S.L."})
    assert asked.status_code == 400
    assert trials_of(demo_store) == before
    assert 'name="choose-people" value="R.A., S.L."' in asked.text
    chosen = GOOD | {"people": "Ruth Ashbarrow, S.L.", "choose-people": "R.A., S.L."}
    assert demo_client.post("/trials/new", data=chosen).status_code == 303
    assert trials_of(demo_store)[-1].people == "R.A., S.L."


@pytest.mark.parametrize("people", ["", "R.A., D.P.", "RA and DP", "Ll. D.", "J-P. D. & R. A."])
def test_initials_are_accepted(demo_client: FlaskClient, people: str) -> None:
    assert demo_client.post("/trials/new", data=GOOD | {"people": people}).status_code == 303


def test_a_photograph_is_stored_and_served_without_its_camera_data(
    demo_client: FlaskClient, demo_store: Store
) -> None:
    exif = Image.Exif()
    exif[0x0110], exif[0x0112] = "Model Nine", 6
    exif.get_ifd(0x8825)[2] = (52.0, 13.0, 7.0)
    sent = io.BytesIO()
    Image.new("RGB", (3000, 2000), "red").save(sent, "JPEG", exif=exif)
    data = GOOD | {"pictures": (io.BytesIO(sent.getvalue()), "mat.jpg")}
    demo_client.post("/trials/new", data=data, content_type="multipart/form-data")
    (image_id,) = trials_of(demo_store)[-1].image_ids

    for address, longest in (
        (f"/entries/image/{image_id}", 2400),
        (f"/entries/image/{image_id}?size=list", 320),
    ):
        with Image.open(io.BytesIO(demo_client.get(address).data)) as shown:
            assert shown.size == (longest * 2 // 3, longest)
            assert dict(shown.getexif()) == {}
