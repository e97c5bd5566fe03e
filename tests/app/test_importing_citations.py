"""Importing sources in the browser: CSL-JSON, BibTeX, RIS."""

import re
from io import BytesIO

import pytest
from flask.testing import FlaskClient
from werkzeug.test import TestResponse

from termbase.acts.sources import save_source
from termbase.record.sources import Source, SourceKind
from termbase.store.engine import Store

BIB = """@book{penry,
  shorthand = {Penry 1871},
  title = {Words of the Ring},
  date = {1871},
  doi = {10.1/x}
}
@article{vale, shorthand = {Vale 1868}, title = {The Fair}, journal = {The Vale Herald}, date = {1868~}}
"""
RIS = "TY  - BOOK\r\nST  - Penry 1871\r\nTI  - Words of the Ring\r\nPY  - 1871\r\nDO  - 10.1/x\r\nER  - \r\n"
CSL = """[{"id": "a", "type": "book", "citation-label": "Penry 1871", "title": "Words of the Ring",
"DOI": "10.1/x"}]"""


def upload(client: FlaskClient, text: str, name: str) -> TestResponse:
    return client.post("/exchange", data={"file": (BytesIO(text.encode()), name)})


def labels(store: Store) -> list[str]:
    with store.read() as reader:
        return [source.label for source in reader.all(Source)]


@pytest.mark.parametrize(
    ("text", "name", "unread"), [(BIB, "a.bib", "doi"), (RIS, "a.ris", "DO"), (CSL, "a.json", "DOI")]
)
def test_sources_are_previewed_with_unrecognized_fields(
    client: FlaskClient, store: Store, text: str, name: str, unread: str
) -> None:
    answer = upload(client, text, name)
    assert answer.status_code == 303
    page = client.get(answer.location).text
    assert "Penry 1871: Words of the Ring" in page
    assert re.search(rf"Not recognized and left out:\s*{unread} 1", page)
    assert labels(store) == []


def test_chosen_sources_are_imported_in_one_act(client: FlaskClient, store: Store) -> None:
    place = upload(client, BIB, "a.bib").location
    done = client.post(place, data={"take": "ticked", "entry": "2"})
    assert done.status_code == 303
    assert labels(store) == ["Vale 1868"]
    with store.read() as reader:
        assert reader.last_acts(1)[0].words == "imported a.bib"
    assert "/undo/" in client.get(done.location).text


def test_differences_are_shown_and_applied_only_on_request(client: FlaskClient, store: Store) -> None:
    with store.act("Gwen", "added it") as act:
        save_source(act, Source("", "Penry 1871", SourceKind.WORD_LIST, "Words", issued="1871"))
    place = upload(client, BIB, "a.bib").location
    assert "<del>Words</del> <ins>Words of the Ring</ins>" in client.get(place).text
    client.post(place, data={"take": "all"})
    with store.read() as reader:
        assert {s.title for s in reader.all(Source)} == {"Words of the Ring", "The Fair"}


def test_an_entry_changed_in_the_meantime_is_shown_again(client: FlaskClient, store: Store) -> None:
    with store.act("Gwen", "added it") as act:
        kept = save_source(act, Source("", "Penry 1871", SourceKind.WORD_LIST, "Words", issued="1871"))
    place = upload(client, BIB, "a.bib").location
    with store.act("Owain", "changed it") as act:
        save_source(
            act, Source(kept.id, kept.label, kept.kind, "Old words", issued="1871", version=kept.version)
        )
    answer = client.post(place, data={"take": "all"})
    assert answer.status_code == 409
    assert "<del>Old words</del>" in answer.text
    assert labels(store) == ["Penry 1871"]


@pytest.mark.parametrize(
    ("text", "name", "expected"),
    [
        ("", "a.bib", "file is empty"),
        ("@book{a, title = {x}, date = {someday}}", "a.bib", "a.bib, line 1"),
        ("TY  - BOOK\nTI  - x\n", "a.ris", "has no end"),
        ("TY  - BOOK\nTI  - x\nDA  - 9999/99/99/\nER  - \n", "a.ris", "a.ris, line 1"),
        ("{", "a.json", "not valid JSON"),
        ('{"a": 1}', "a.json", "a list of works"),
        ('[{"id": "a", "title": [1]}]', "a.json", "a.json, item 1"),
    ],
)
def test_an_invalid_file_is_reported_beside_the_field(
    client: FlaskClient, store: Store, text: str, name: str, expected: str
) -> None:
    answer = upload(client, text, name)
    assert answer.status_code == 400
    assert 'id="file-error"' in answer.text
    assert expected in answer.text
    assert labels(store) == []
