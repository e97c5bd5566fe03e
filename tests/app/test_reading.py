"""Reading a text in the web face: names marked, slips taken from sentences."""

import io

import pytest
from flask.testing import FlaskClient
from lxml import html

from termbase.acts import entries as entry_acts
from termbase.acts.sources import save_source
from termbase.record.entries import Entry, Origin, Term
from termbase.record.sources import Certainty, Slip, Source, SourceKind
from termbase.store.engine import Store

TEXT = (
    "The ring was roped at noon. Mr. J. Rowe threw Prosser with as clean a back\nheel as we have seen, "
    "or fachiad sawdl as the old men say.\n\nThe umpire gave it a fair fall."
)
FORM = {"source": "s1", "date": "1872-08-10", "page": "1", "column": "3", "text": TEXT}


@pytest.fixture(autouse=True)
def record(store: Store) -> None:
    """A paper, and the entries back-heel (bachiad sawdl) and umpire."""
    with store.act("Gwen", "made it") as act:
        save_source(act, Source("", "Lantern", SourceKind.NEWSPAPER, "The Quarry Lantern", language="en"))
        for names in ((("back-heel", "en"), ("bachiad sawdl", "cy")), (("umpire", "en"),)):
            terms = tuple(Term("", text, tag, Origin.IN_USE) for text, tag in names)
            entry_acts.save(act, Entry("", terms=terms))


def slips_of(store: Store) -> tuple[Slip, ...]:
    with store.read() as reader:
        return reader.all(Slip)


def read(client: FlaskClient, **more: object) -> str:
    """Give a text; the address of its reading."""
    answer = client.post("/reading", data=FORM | more)
    assert answer.status_code == 303
    return answer.headers["Location"]


def test_names_are_marked_in_the_text_with_how_they_matched(client: FlaskClient) -> None:
    page = client.get(read(client)).text

    assert '<mark class="how-variant" title="Spelt “back-heel” here.">back\nheel</mark>' in page
    assert 'class="how-mutated"' in page
    assert ">fachiad sawdl</mark>" in page
    assert 'class="how-the-very-form" title="Exactly this form.">umpire</mark>' in page
    assert "3 known names in 3 sentences" in page


def test_a_slip_is_the_sentence_word_for_word_with_the_name_as_printed_and_its_locator(
    client: FlaskClient, store: Store
) -> None:
    address = read(client)
    answer = client.post(f"{address}/slips", data={"take": "1.1.0", "name": ""})

    slip = slips_of(store)[0]
    assert answer.headers["Location"] == f"{address}#n1"
    assert slip.text == TEXT[TEXT.index("Mr. J.") : TEXT.index("\n\n")]
    assert (slip.name, slip.date, slip.page, slip.column) == ("fachiad sawdl", "1872-08-10", "1", "3")
    with store.read() as reader:
        assert reader.get(Entry, reader.entry_of_term(slip.term_id)).terms[1].id == slip.term_id


def test_a_name_over_the_end_of_a_line_is_printed_on_one(client: FlaskClient, store: Store) -> None:
    client.post(f"{read(client)}/slips", data={"take": "1.0.0"})

    assert slips_of(store)[0].name == "back heel"


def test_two_entries_with_the_same_name_are_distinguished(client: FlaskClient, store: Store) -> None:
    with store.act("Gwen", "made another") as act:
        entry_acts.save(act, Entry("", terms=(Term("", "umpire", "en", Origin.IN_USE),)))
    page = html.fromstring(client.get(read(client)).text)
    choices = [" ".join(one.text_content().split()) for one in page.xpath("//button[@data-figure]")]

    assert [one for one in choices if "umpire" in one] == [
        "Take a slip for umpire c0002",
        "Take a slip for umpire c0003",
    ]
    assert not any("c0001" in one for one in choices)


def test_a_slip_with_a_selected_name_waits_to_be_sorted(client: FlaskClient, store: Store) -> None:
    client.post(f"{read(client)}/slips", data={"take": "2", "name": "fair fall"})

    slip = slips_of(store)[0]
    assert (slip.name, slip.term_id, slip.text) == ("fair fall", "", "The umpire gave it a fair fall.")


def test_a_misprint_is_only_probable(client: FlaskClient, store: Store) -> None:
    address = read(client, text="He tried the baek-heel once more.")
    assert 'class="how-near"' in client.get(address).text

    client.post(f"{address}/slips", data={"take": "0.0.0"})

    assert slips_of(store)[0].certainty is Certainty.PROBABLE
    assert slips_of(store)[0].name == "baek-heel"


def test_a_taken_slip_is_shown_beside_the_sentence_and_can_be_undone(
    client: FlaskClient, store: Store
) -> None:
    address = read(client)
    page = client.post(f"{address}/slips", data={"take": "2.0.0"}, follow_redirects=True).text

    assert 'href="/sources/slips/q1"' in page
    assert "Added a slip from Lantern: umpire." in page
    assert "Undo" in page
    assert "slips taken from 1" in page or "a slip taken from 1" in page


def test_the_same_slip_is_not_taken_twice(client: FlaskClient, store: Store) -> None:
    address = read(client)
    client.post(f"{address}/slips", data={"take": "2.0.0"})

    answer = client.post(f"{address}/slips", data={"take": "2.0.0"})

    assert answer.status_code == 400
    assert "This slip has already been taken." in answer.text
    assert len(slips_of(store)) == 1


@pytest.mark.parametrize(
    "data",
    [
        {"take": "9"}, {"take": "1.7.0"}, {"take": "1.0.7"}, {"take": "-1"}, {"take": "1.0"}, {"take": "x"},
        {}, {"take": "2", "name": "not in it"},
    ],
)  # fmt: skip
def test_a_place_that_is_not_in_the_text_takes_nothing(
    client: FlaskClient, store: Store, data: dict[str, str]
) -> None:
    assert client.post(f"{read(client)}/slips", data=data).status_code == 400
    assert slips_of(store) == ()


@pytest.mark.parametrize(
    ("field", "value"), [("text", " \n "), ("source", ""), ("source", "s99"), ("date", "Tuesday")]
)
def test_a_text_that_cannot_be_read_says_why_and_is_not_lost(
    client: FlaskClient, field: str, value: str
) -> None:
    answer = client.post("/reading", data=FORM | {"place": "kept", field: value})

    assert answer.status_code == 400
    assert f'id="{field}-error"' in answer.text
    assert 'value="kept"' in answer.text


def test_a_text_can_be_uploaded_as_a_file(client: FlaskClient) -> None:
    file = (io.BytesIO("\ufeffYr umpire, ŵyr y dyn.".encode()), "report.txt")
    answer = client.post("/reading", data=FORM | {"text": "", "file": file}, follow_redirects=True)

    assert ">umpire</mark>" in answer.text
    assert "ŵyr" in answer.text


@pytest.mark.parametrize("content", [b"", b"caf\xe9", b"PK\x03\x04\x00\x00", "ŵyr".encode("utf-16")])
def test_a_file_that_is_not_utf_8_is_rejected(client: FlaskClient, content: bytes) -> None:
    answer = client.post("/reading", data=FORM | {"text": "", "file": (io.BytesIO(content), "report.txt")})

    assert answer.status_code == 400
    assert "report" in answer.text or 'role="alert"' in answer.text


def test_the_text_can_be_changed_and_read_again(client: FlaskClient) -> None:
    key = read(client).rpartition("/")[2]

    page = client.get(f"/reading?text={key}").text

    assert "The umpire gave it a fair fall.</textarea>" in page
    assert 'value="1872-08-10"' in page


def test_a_text_no_longer_kept_is_not_found(client: FlaskClient) -> None:
    assert client.get("/reading/0123456789ab").status_code == 404
    assert client.get("/reading?text=0123456789ab").status_code == 404


def test_text_is_never_treated_as_markup(client: FlaskClient) -> None:
    page = client.get(read(client, text="<script>alert(1)</script> & the <b>umpire</b>.")).text

    assert "<script>alert" not in page
    assert "&lt;b&gt;" in page


def test_the_demo_includes_texts_to_read(demo_client: FlaskClient, client: FlaskClient) -> None:
    assert 'action="/reading/demo/lantern-1872-08-10"' in demo_client.get("/reading").text
    page = demo_client.post("/reading/demo/lantern-1872-08-10", follow_redirects=True).text
    assert ">bachiad sawdl</mark>" in page
    assert "10 August 1872" in page
    assert demo_client.post("/reading/demo/nothing").status_code == 404
    assert "/reading/demo/" not in client.get("/reading").text
    assert client.post("/reading/demo/lantern-1872-08-10").status_code == 404
