"""Forms that are refused: every error at once, each at its field; files stay chosen, without a script too."""

import re
from io import BytesIO

import pytest
from flask.testing import FlaskClient
from lxml import html
from PIL import Image as Pictures

from termbase.record.entries import Entry
from termbase.record.sources import Source
from termbase.record.trials import Trial
from termbase.store.engine import Store

SUMMARY = '//div[contains(@class, "error-summary")]'
TRIAL = {"version": "0", "entry": "c9999", "date": "soon", "young": "yes", "place": "the barn"}


def picture(colour: int = 200) -> BytesIO:
    made = BytesIO()
    Pictures.new("L", (30, 20), colour).save(made, "PNG")
    made.seek(0)
    return made


def page_of(text: str) -> html.HtmlElement:
    return html.fromstring(text)


def summary_of(page: html.HtmlElement) -> list[str]:
    return [" ".join(item.text_content().split()) for item in page.xpath(f"{SUMMARY}/ul/li")]


@pytest.mark.parametrize(
    ("path", "sent", "fields"),
    [
        ("/trials/new", TRIAL, {"entry", "date", "outcome", "guardian"}),
        (
            "/sources/new",
            {
                "version": "0",
                "kind": "newspaper",
                "label": "",
                "title": " ",
                "issued": "some day",
                "language": "!",
            },
            {"label", "title", "issued", "language"},
        ),
        (
            "/sources/s1/slips/new",
            {"version": "0", "text": "", "date": "once", "kind": "use", "certainty": "x", "presence": ""},
            {"text", "date", "certainty"},
        ),
        ("/rules/new", {"version": "0", "name": "", "period": "long ago"}, {"name", "period"}),
        ("/reading", {"source": "", "text": " ", "date": "then"}, {"source", "text", "date"}),
        (
            "/entries/new",
            {"text-cy": "gafael", "origin-cy": "", "text-en": "grip", "origin-en": ""},
            {"origin-cy", "origin-en"},
        ),
        (
            "/entries/c0001/edit/term-new",
            {"text": "", "language": "?", "origin": "", "forms": "pobl"},
            {"text", "language", "origin", "forms"},
        ),
        (
            "/publish/termbase",
            {"version": "1", "title": "", "working_language": "en", "vernaculars": "cy !"},
            {"title", "vernaculars"},
        ),
    ],
)
def test_all_errors_are_reported_at_once_each_at_its_field(
    demo_client: FlaskClient, path: str, sent: dict[str, str], fields: set[str]
) -> None:
    answer = demo_client.post(path, data=sent)
    page = page_of(answer.text)

    assert answer.status_code == 400
    assert page.findtext(".//title").startswith("Error: ")
    assert {link.get("href") for link in page.xpath(f"{SUMMARY}//a")} == {f"#{name}" for name in fields}
    assert len(summary_of(page)) == len(fields)
    (summary,) = page.xpath(SUMMARY)
    assert summary.get("tabindex") == "-1"
    assert summary.get("autofocus") is not None
    for name in fields:
        (place,) = page.xpath(f'//*[@id="{name}"]')
        (error,) = page.xpath(f'//*[@id="{name}-error"]')
        label = page.xpath(f'//label[@for="{name}"] | //*[@id="{name}-error"]/preceding-sibling::legend')[0]
        every = list(page.iter())
        assert every.index(label) < every.index(error)
        if place.tag != "input" or place.get("type") not in ("radio", "checkbox"):
            assert every.index(error) < every.index(place)
    typed = [value for name, value in sent.items() if name not in ("version", "young") and value.strip()]
    assert all(value in answer.text for value in typed)


def test_a_valid_form_shows_no_summary(demo_client: FlaskClient) -> None:
    page = page_of(demo_client.get("/trials/new").text)

    assert page.xpath(SUMMARY) == []
    assert not page.findtext(".//title").startswith("Error")


def test_a_wrong_clause_and_a_missing_name_are_reported_together(demo_client: FlaskClient) -> None:
    fresh = page_of(demo_client.get("/rules/r1/edit").text)
    form = next(one for one in fresh.forms if "questions" in one.get("class", ""))
    sent = [(name, value) for name, value in form.form_values() if name not in ("name", "0.id", "do")]
    answer = demo_client.post("/rules/r1/edit", data={"name": "", "0.id": "", "do": "save", **_several(sent)})

    found = summary_of(page_of(answer.text))
    assert answer.status_code == 400
    assert any(one.startswith("Name of the code") for one in found)
    assert any(one.startswith("Number") for one in found)


def _several(pairs: list[tuple[str, str]]) -> dict[str, list[str]]:
    found: dict[str, list[str]] = {}
    for name, value in pairs:
        found.setdefault(name, []).append(value)
    return found


def test_chosen_pictures_stay_chosen_until_the_trial_is_saved(
    demo_client: FlaskClient, demo_store: Store
) -> None:
    sent = {"version": "0", "entry": "c0001", "date": "2020-02-01", "done": "tried it slowly"}
    pictures = [(picture(90), "one.png"), (picture(140), "two.png")]
    refused = demo_client.post("/trials/new", data={**sent, "pictures": pictures})
    page = page_of(refused.text)
    boxes = page.xpath('.//input[@name="kept-pictures"]')
    assert refused.status_code == 400
    assert [box.getparent().text_content().strip() for box in boxes] == [
        "Selected: one.png",
        "Selected: two.png",
    ]
    assert all(box.get("checked") is not None for box in boxes)

    tokens = [box.get("value") for box in boxes]
    again = demo_client.post(
        "/trials/new", data={**sent, "kept-pictures": tokens, "pictures": (picture(30), "three.png")}
    )
    tokens = [box.get("value") for box in page_of(again.text).xpath('.//input[@name="kept-pictures"]')]
    assert len(tokens) == 3
    saved = demo_client.post("/trials/new", data={**sent, "outcome": "works", "kept-pictures": tokens[1:]})

    assert saved.status_code == 303, summary_of(page_of(saved.text))
    with demo_store.read() as reader:
        newest = max(reader.all(Trial), key=lambda trial: int(trial.id[1:]))
    assert len(newest.image_ids) == 2


def test_a_file_is_found_by_another_process_and_no_other_name_is_opened(
    demo_client: FlaskClient, demo_store: Store
) -> None:
    from_file = {"source": "", "file": (BytesIO(b"The hold was kept."), "report.txt")}
    refused = demo_client.post("/reading", data=from_file)
    token = page_of(refused.text).xpath('.//input[@name="kept-file"]')[0].get("value")
    other = demo_client.application.test_client()
    taken = other.post(
        "/reading", data={"source": "s1", "kept-file": token}, headers={"Origin": "http://localhost"}
    )
    assert taken.status_code == 303

    for bad in ("../../etc/passwd", "x" * 30, token + ".name", ""):
        answer = demo_client.post("/reading", data={"source": "s1", "kept-file": bad})
        assert answer.status_code == 400
        assert "This file is no longer available." in answer.text


def test_nothing_is_written_if_only_the_form_reports_an_error(
    demo_client: FlaskClient, demo_store: Store
) -> None:
    with demo_store.read() as reader:
        before = reader.count(Source), reader.count(Trial), reader.count(Entry)
    demo_client.post("/sources/new", data={"version": "0", "kind": "?", "label": "New", "title": "A title"})
    demo_client.post("/trials/new", data={"version": "0", "entry": "c0001", "date": "2026-01-02"})
    demo_client.post(
        "/rules/new", data={"version": "x", "name": "A code that is new", "period": "", "do": "save"}
    )
    with demo_store.read() as reader:
        assert (reader.count(Source), reader.count(Trial), reader.count(Entry)) == before
    assert not re.search("A code that is new", demo_client.get("/rules").text)
