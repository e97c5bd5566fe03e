"""Publish, other files: tables, linked data, sources, backup."""

from pathlib import Path

import pytest
from flask.testing import FlaskClient

from app.web.progress import Job, State, jobs
from exports.backup.reading import restore
from termbase.acts import entries as entry_acts
from termbase.record.entries import Entry, Origin, Term
from termbase.store.engine import Store

TABLE = {"kind": "csv", "rows": "names", "entries": "all", "columns": "name=Enw\nlanguage"}
SKOS = {"skos_format": "turtle", "skos_entries": "all", "base": "https://glossary.example/"}


@pytest.fixture
def heel(store: Store) -> Entry:
    with store.act("Gwen", "created an entry") as act:
        return entry_acts.save(act, Entry(id="", terms=(Term("", "bachiad", "cy", Origin.COINED),)))


def made(client: FlaskClient) -> tuple[Job, bytes]:
    """Return the newest job, once it has finished, and its file."""
    with client.application.app_context():
        job = jobs().newest()[0]
    assert job.wait(60)
    assert job.state is State.FINISHED
    with client.get(f"/progress/{job.id}/file") as file:
        return job, file.data


@pytest.mark.parametrize(
    ("way", "form", "holds"),
    [
        ("table", TABLE, b"Enw,language\r\nbachiad,cy\r\n"),
        ("table", TABLE | {"kind": "xlsx"}, b"PK"),
        ("table", TABLE | {"columns": "", "rows": "entries"}, b"names (cy)"),
        ("skos", SKOS, b"<https://glossary.example/c0001> a skos:Concept"),
        ("skos", SKOS | {"skos_format": "json-ld"}, b'"@context"'),
        ("citations", {"citation_format": "csl-json"}, b"[\n]"),
    ],
)
def test_each_file_is_created_by_a_job_and_downloaded(
    client: FlaskClient, heel: Entry, way: str, form: dict[str, str], holds: bytes
) -> None:
    assert client.post(f"/publish/files/{way}", data=form).status_code == 303
    job, content = made(client)
    assert holds in content
    assert f"/progress/{job.id}/file" in client.get("/publish/files").text


def test_a_downloaded_backup_can_be_restored(client: FlaskClient, heel: Entry, tmp_path: Path) -> None:
    client.post("/publish/files/backup")
    (tmp_path / "b.zip").write_bytes(made(client)[1])
    assert restore(tmp_path / "b.zip", str(tmp_path / "new.sqlite")).counts["entry"] == 1


@pytest.mark.parametrize(
    ("way", "form", "message"),
    [
        ("table", TABLE | {"columns": "name\ncolour"}, "colour"),
        ("table", TABLE | {"kind": "odt"}, "odt"),
        ("skos", SKOS | {"base": "nowhere"}, "nowhere"),
        ("citations", {"citation_format": "cards"}, "cards"),
    ],
)
def test_an_error_is_shown_beside_the_form(
    client: FlaskClient, heel: Entry, way: str, form: dict[str, str], message: str
) -> None:
    answer = client.post(f"/publish/files/{way}", data=form)
    assert answer.status_code == 400
    assert message in answer.text
    assert 'class="error"' in answer.text


def test_publish_links_to_other_files(client: FlaskClient) -> None:
    assert 'href="/publish/files"' in client.get("/publish").text
