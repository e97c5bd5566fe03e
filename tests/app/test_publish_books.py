"""Cards, web site, e-book and the proof of the selection: jobs started from the glossary form."""

import io
import zipfile

import pytest
from flask.testing import FlaskClient

from app.web.progress import Job, jobs
from termbase.acts import entries as entry_acts
from termbase.record.entries import Entry, Origin, Term, Topic
from termbase.store.engine import Store
from termbase.technique.profile import Hand, Profile, Stated

CHOSEN = {"paper": "a5", "drafts": "all", "direction": ["articles", "reverse"], "figures": "yes"}


@pytest.fixture
def heel(store: Store) -> Entry:
    profile = Profile(right=Hand(Stated(("shoulder strap",)), work=Stated("push")))
    with store.act("Gwen", "created an entry") as act:
        terms = (Term("", "back-heel", "en", Origin.IN_USE), Term("", "bachiad sawdl", "cy", Origin.COINED))
        return entry_acts.save(act, Entry(id="", topic=Topic.TRIP, terms=terms, technique=profile))


def ended(client: FlaskClient) -> Job:
    """Return the newest job, once it has finished."""
    with client.application.app_context():
        job = jobs().newest()[0]
    assert job.wait(60)
    return job


def fetched(client: FlaskClient, what: str, **more: object) -> tuple[str, str, bytes]:
    """Return the job's message, and the name and bytes of its file."""
    client.post(f"/publish/{what}", data=CHOSEN | more)
    job = ended(client)
    text = client.get(f"/progress/{job.id}").text
    with client.get(f"/progress/{job.id}/file") as file:
        return text, file.headers["Content-Disposition"], file.data


def test_cards_can_be_downloaded(client: FlaskClient, heel: Entry) -> None:
    text, name, data = fetched(client, "cards")
    assert "1 card, 1 of them marked as draft, on 1 sheet." in text
    assert "cards.pdf" in name
    assert data.startswith(b"%PDF-")


def test_the_site_is_one_file_that_unpacks_to_a_folder(client: FlaskClient, heel: Entry) -> None:
    text, name, data = fetched(client, "site")
    assert "1 entry, 1 of them marked as draft." in text
    assert "glossary-site.zip" in name
    with zipfile.ZipFile(io.BytesIO(data)) as archive:
        assert b"back-heel" in archive.read(f"glossary/entries/{heel.id}.html")
        assert all(n.startswith("glossary/") for n in archive.namelist())


def test_the_e_book_can_be_written_without_figures(client: FlaskClient, heel: Entry) -> None:
    _, name, data = fetched(client, "epub", figures="")
    assert "glossary.epub" in name
    with zipfile.ZipFile(io.BytesIO(data)) as archive:
        assert not any(b"<svg" in archive.read(n) for n in archive.namelist())


def test_the_proof_of_a_selection_is_a_table(client: FlaskClient, heel: Entry) -> None:
    text, _, data = fetched(client, "proof")
    assert "findings." in text
    assert "readings not signed" in data.decode()
    assert "no licence" in data.decode()
    _, _, ready = fetched(client, "proof", drafts="ready")
    assert "No entries would be printed." in ready.decode()


@pytest.mark.parametrize("what", ["cards", "site", "epub", "proof"])
def test_an_unknown_choice_shows_an_error_beside_its_field(client: FlaskClient, what: str) -> None:
    answer = client.post(f"/publish/{what}", data=CHOSEN | {"code": "r99"})
    assert answer.status_code == 400
    assert 'id="code-error"' in answer.text


def test_the_page_offers_all_of_them(client: FlaskClient) -> None:
    page = client.get("/publish").text
    for what in ("pdf", "cards", "site", "epub", "proof"):
        assert f'action="/publish/{what}"' in page


def test_the_default_language_is_the_reader_s(client: FlaskClient, heel: Entry) -> None:
    asked = {"Accept-Language": "cy"}
    page = client.get("/publish", headers=asked).text
    assert '<option value="cy" selected>Cymraeg</option>' in page
    client.post("/publish/site", data=CHOSEN, headers=asked)
    assert '<html lang="cy">' in _page_of(client, heel)
    client.post("/publish/site", data=CHOSEN | {"words": "ga"}, headers=asked)
    assert '<html lang="ga">' in _page_of(client, heel)


def _page_of(client: FlaskClient, entry: Entry) -> str:
    with client.get(f"/progress/{ended(client).id}/file") as file:
        packed = io.BytesIO(file.data)
    with zipfile.ZipFile(packed) as archive:
        return archive.read(f"glossary/entries/{entry.id}.html").decode()


def test_an_unsupported_language_shows_an_error_beside_its_field(client: FlaskClient) -> None:
    answer = client.post("/publish/epub", data=CHOSEN | {"words": "fr"})
    assert answer.status_code == 400
    assert 'id="words-error"' in answer.text


def test_proof_findings_come_before_the_buttons(client: FlaskClient, heel: Entry) -> None:
    page = client.get("/publish").text
    assert page.index("Proof findings: ") < page.index('<button class="main" data-key="p"')


def test_a_topic_leaves_out_other_entries(client: FlaskClient, heel: Entry) -> None:
    text, _, data = fetched(client, "site", topic="trip")
    assert "1 entry" in text
    with zipfile.ZipFile(io.BytesIO(data)) as archive:
        assert b">trip</p>" in archive.read("glossary/index.html").replace(b": trip", b">trip")
    text, _, data = fetched(client, "site", topic="throw")
    assert "0 entries" in text


def test_an_unknown_topic_shows_an_error_beside_its_field(client: FlaskClient) -> None:
    answer = client.post("/publish/pdf", data=CHOSEN | {"topic": "somersault"})
    assert answer.status_code == 400
    assert 'id="topic-error"' in answer.text
