"""The start page: three ways to start, later the progress of the work."""

import re
import time

import pytest
from flask.testing import FlaskClient

from termbase.acts import entries
from termbase.demo.loading import fill_empty, load
from termbase.errors import BadInput
from termbase.record.entries import Entry, Origin, Term
from termbase.record.people import UNNAMED, Person, Role, Termbase
from termbase.store.engine import Store


@pytest.fixture
def unnamed(store: Store) -> Store:
    """A termbase that nobody has named yet."""
    with store.act("Gwen", "made it unnamed") as act:
        act.put(Termbase(UNNAMED, vernaculars=("cy",), version=act.termbase().version))
    return store


def make_entry(store: Store) -> None:
    with store.act("Gwen", "made the entry gafael") as act:
        entries.save(act, Entry("", terms=(Term("", "gafael", "cy", Origin.IN_USE),)))


def test_the_demo_is_not_loaded_into_a_termbase_that_has_a_name(client: FlaskClient, store: Store) -> None:
    page = client.get("/").text
    answer = client.post("/begin/demo")

    assert "Two ways to start" in page
    assert "/begin/demo" not in page
    assert "wordhold demo" in page
    assert answer.status_code == 400
    with pytest.raises(BadInput, match="already has a title or records"):
        fill_empty(store, load())
    with store.read() as reader:
        assert reader.termbase().title == "Words of the Vale"
        assert reader.count(Entry) == 0


def test_an_empty_termbase_shows_only_three_ways_to_start(client: FlaskClient, unnamed: Store) -> None:
    page = client.get("/").text

    main = page[page.index("<main") : page.index("</main>")]
    heads = re.findall(r"<h[12][^>]*>(.*?)</h[12]>", main)
    assert heads == [
        "Three ways to start",
        "Try the invented demo",
        "Start your own termbase",
        "Upload a file",
    ]


def test_starting_a_termbase_names_it_and_leads_to_the_first_entry(client: FlaskClient, store: Store) -> None:
    sent = {"title": "Geiriau’r Cwm", "working_language": "en", "vernaculars": "cy, br", "name": "Nia",
            "roles": ["researcher", "speaker"]}  # fmt: skip

    answer = client.post("/begin/own", data=sent)

    assert answer.location == "/entries/new"
    with store.read() as reader:
        assert reader.termbase().title == "Geiriau’r Cwm"
        assert reader.termbase().vernaculars == ("cy", "br")
        assert reader.all(Person) == (Person("p1", "Nia", roles=(Role.RESEARCHER, Role.SPEAKER), version=1),)
    assert "Nia" in client.get("/").text


@pytest.mark.parametrize(
    ("field", "wrong"), [("title", " "), ("working_language", "no tag!"), ("vernaculars", "cy xx!!")]
)
def test_an_invalid_start_form_is_shown_again(
    client: FlaskClient, store: Store, field: str, wrong: str
) -> None:
    sent = {"title": "Words", "working_language": "en", "vernaculars": "cy", "name": "Nia typed"}

    answer = client.post("/begin/own", data={**sent, field: wrong})

    assert answer.status_code == 400
    assert f'id="{field}-error"' in answer.text
    assert "Nia typed" in answer.text
    with store.read() as reader:
        assert reader.count(Person) == 0


def test_the_demo_fills_an_empty_termbase_and_says_that_it_is_invented(
    client: FlaskClient, store: Store, unnamed: Store
) -> None:
    job = client.post("/begin/demo").location
    assert job
    until = time.monotonic() + 60
    while client.get(f"{job}.json").json["state"] == "running" and time.monotonic() < until:  # type: ignore[index]
        time.sleep(0.1)

    page = client.get("/").text
    assert "Progress" in page
    assert "Everything here is invented" in page
    with store.read() as reader:
        assert reader.count(Entry) > 50


def test_the_demo_is_not_loaded_into_a_termbase_with_records(client: FlaskClient, store: Store) -> None:
    make_entry(store)

    answer = client.post("/begin/demo")

    assert answer.status_code == 400
    with store.read() as reader:
        assert reader.count(Entry) == 1


def test_the_overview_shows_the_next_task_of_each_role(client: FlaskClient, store: Store) -> None:
    make_entry(store)

    page = client.get("/").text

    assert [
        re.search(rf">{chair}</h3>", page) is not None for chair in ("Researcher", "Speaker", "Coach")
    ] == [True] * 3
    assert "Made the entry gafael." in page
    assert 'href="/entries/c0001?read=language"' in page
