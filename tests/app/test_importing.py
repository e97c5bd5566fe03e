"""Importing a file in the browser, and on the command line."""

import json
import re
from io import BytesIO
from pathlib import Path

import pytest
from click.testing import CliRunner
from flask.testing import FlaskClient
from werkzeug.test import TestResponse

from app.cli import main
from app.web.progress import State, jobs
from exports.tbx.writer import write_tbx
from termbase.acts import entries as entry_acts
from termbase.errors import Conflict
from termbase.overviews.articles import Library
from termbase.record.entries import Entry, Origin, Term
from termbase.record.people import Termbase
from termbase.store.engine import Store

TBX = """<?xml version="1.0" encoding="UTF-8"?>
<tbx xmlns="urn:iso:std:iso:30042:ed-2" type="TBX-Core" style="dca" xml:lang="en">
<tbxHeader><fileDesc><sourceDesc><p>Made for the tests.</p></sourceDesc></fileDesc></tbxHeader>
<text><body>
<conceptEntry id="k1"><langSec xml:lang="en"><termSec><term>apron</term></termSec></langSec></conceptEntry>
<conceptEntry id="k2">
<langSec xml:lang="en"><termSec><term>belt &lt;b&gt;</term></termSec></langSec></conceptEntry>
</body></text></tbx>
"""


@pytest.fixture
def own_file(tmp_path: Path) -> Path:
    """A file of our own dialect with one entry."""
    other = Store.create(str(tmp_path / "other.db"), Termbase("Other"), by="Owain")
    with other.act("Owain", "made it") as act:
        entry_acts.save(act, Entry("", terms=(Term("", "hank", "en", Origin.COINED),)))
    with other.read() as reader:
        write_tbx(Library(reader), tmp_path / "own.tbx", dialect="wordhold")
    other.close()
    return tmp_path / "own.tbx"


def finished(client: FlaskClient, answer: TestResponse) -> str:
    """Return the address to which the newest job leads."""
    assert answer.status_code == 303
    with client.application.app_context():
        job = jobs().newest()[0]
    assert job.wait(30)
    assert job.state is State.FINISHED, job.error
    assert job.result
    return job.result.url


def upload(client: FlaskClient, content: bytes, name: str = "words.tbx") -> str:
    with_file = {"file": (BytesIO(content), name)}
    return finished(client, client.post("/exchange", data=with_file))


def test_a_file_is_previewed_before_it_is_imported(client: FlaskClient, store: Store) -> None:
    page = client.get(upload(client, TBX.encode())).text
    assert "2 entries, 2 terms" in page
    assert "belt &lt;b&gt;" in page
    assert 'name="origin" value="word-list"' in page
    with store.read() as reader:
        assert reader.count(Entry) == 0


def test_the_origin_of_names_from_other_systems_is_not_stated_by_default(
    client: FlaskClient, store: Store
) -> None:
    place = upload(client, TBX.encode())
    assert client.post(place, data={"take": "new", "origin": "hearsay"}).status_code == 400
    finished(client, client.post(place, data={"take": "new"}))
    with store.read() as reader:
        assert {t.origin for e in reader.all(Entry) for t in e.terms} == {Origin.NOT_STATED}


def test_ticked_entries_are_imported_in_one_act_and_can_be_undone(client: FlaskClient, store: Store) -> None:
    place = upload(client, TBX.encode())
    form = {"take": "ticked", "entry": ["k2"], "origin": "word-list"}
    done = client.get(finished(client, client.post(place, data=form))).text
    with store.read() as reader:
        (entry,) = reader.all(Entry)
        assert (entry.terms[0].text, entry.terms[0].origin) == ("belt <b>", Origin.WORD_LIST)
        assert reader.last_acts(1)[0].words == "imported words.tbx"
    undo = re.search(r'action="(/undo/\d+)"', done)
    assert undo
    client.post(undo[1], data={"back": "/"})
    with store.read() as reader:
        assert reader.count(Entry) == 0


def test_a_file_submitted_twice_is_imported_once(client: FlaskClient, store: Store) -> None:
    page = upload(client, TBX.encode())
    chosen = {"take": "as-new", "origin": "not stated"}
    finished(client, client.post(page, data=chosen))

    again = client.post(page, data=chosen)

    with client.application.app_context():
        job = jobs().newest()[0]
    assert job.wait(30)
    assert isinstance(job.error, Conflict)
    assert "has already been imported" in client.get(again.location).text
    with store.read() as reader:
        assert len([entry for batch in reader.entries() for entry in batch]) == 2


def test_our_own_file_needs_no_origin(client: FlaskClient, store: Store, own_file: Path) -> None:
    place = upload(client, own_file.read_bytes())
    assert 'name="origin"' not in client.get(place).text
    client.get(finished(client, client.post(place, data={"take": "all"})))
    with store.read() as reader:
        assert [t.text for e in reader.all(Entry) for t in e.terms] == ["hank"]


@pytest.mark.parametrize(
    ("content", "expected"),
    [
        (b"", "is empty"),
        (b"<html/>", "not a TBX file"),
        (b'<!DOCTYPE tbx [<!ENTITY a "b">]><tbx/>', "entities"),
        (TBX.encode()[:300], "well-formed"),
        (TBX.replace("k2", "k1").encode(), "line 6, conceptEntry k1, id: The id “k1” is used twice"),
        (TBX.replace("<langSec", '<ref target="k7"/><langSec', 1).encode(), "--keep-loose-targets"),
        (TBX.replace('xml:lang="en"><t', 'xml:lang="en_US"><t').encode(), "“en_US” is not a language tag"),
        (b"a,b\n1,2\n", "not XML"),
    ],
)
def test_an_invalid_file_is_reported_beside_the_field(
    client: FlaskClient, content: bytes, expected: str
) -> None:
    with_file = {"file": (BytesIO(content), "bad.tbx")}
    answer = client.post("/exchange", data=with_file)
    assert answer.status_code == 400 or content.startswith(b"<?xml")
    if answer.status_code == 303:  # errors further down are reported by the job
        with client.application.app_context():
            job = jobs().newest()[0]
        assert job.wait(30)
        assert job.error
        assert expected in str(job.error)
        assert "bad.tbx" in job.error.where
    else:
        assert expected in answer.text
        assert 'id="file-error"' in answer.text


def test_a_file_with_dangling_references_is_imported_if_that_is_ticked(
    client: FlaskClient, store: Store
) -> None:
    loose = TBX.replace("<langSec", '<ref type="crossReference" target="k7">x</ref><langSec', 1).encode()
    with_file = {"file": (BytesIO(loose), "loose.tbx"), "keep_loose": "yes"}
    place = finished(client, client.post("/exchange", data=with_file))
    assert "Pointers to targets that are not in the file were kept as notes: “k7”" in client.get(place).text
    client.get(finished(client, client.post(place, data={"take": "new", "origin": "word-list"})))
    with store.read() as reader:
        notes = [[n.words() for n in e.foreign_notes] for e in reader.all(Entry)]
        assert notes == [["crossReference: x <k7>"], []]


def test_a_missing_file_is_reported(client: FlaskClient) -> None:
    assert "No file was chosen" in client.post("/exchange", data={}).text


def run(*words: str) -> tuple[int, str, str]:
    done = CliRunner().invoke(main, [*words])
    return done.exit_code, done.stdout, done.stderr


def test_the_command_previews_then_imports(tmp_path: Path) -> None:
    place, file = str(tmp_path / "words.db"), tmp_path / "words.tbx"
    file.write_text(TBX, encoding="utf-8")
    Store.create(place, Termbase("Words"), by="Gwen").close()
    code, output, _ = run("import", "tbx", str(file), "--db", place, "--dry-run", "--json")
    document = json.loads(output)
    assert (code, document["wordhold"], document["dry_run"]) == (0, "import tbx", True)
    assert document["plan"]["counts"] == {"entry": {"new": 2}}
    loose = tmp_path / "loose.tbx"
    loose.write_text(TBX.replace("<langSec", '<ref target="k7"/><langSec', 1), encoding="utf-8")
    code, _, wrong = run("import", "tbx", str(loose), "--db", place, "--dry-run")
    assert code == 2
    assert "loose.tbx, line 5, ref, in conceptEntry k1, target" in wrong
    assert run("import", "tbx", str(loose), "--db", place, "--dry-run", "--keep-loose-targets")[0] == 0
    assert run("import", "tbx", str(file), "--db", place, "--as", "Gwen", "--origin", "hearsay")[0] == 2
    code, output, _ = run("import", "tbx", str(file), "--db", place, "--as", "Gwen", "--origin", "in use")
    assert code == 0
    assert "New: entry 2." in output
    store = Store.open(place)
    with store.read() as reader:
        assert reader.count(Entry) == 2
    store.close()


def test_the_command_shows_what_differs(tmp_path: Path, own_file: Path) -> None:
    place = str(tmp_path / "other.db")
    own_file.write_text(own_file.read_text("utf-8").replace(">hank<", ">hank hold<"), encoding="utf-8")
    code, output, _ = run("import", "tbx", str(own_file), "--db", place, "--dry-run")
    assert code == 0
    assert "entry: changed 1." in output
    assert "hank → hank hold" in output
    run("import", "tbx", str(own_file), "--db", place, "--as", "Gwen", "--take", "all")
    store = Store.open(place)
    with store.read() as reader:
        assert [t.text for e in reader.all(Entry) for t in e.terms] == ["hank hold"]
    store.close()


def test_a_note_from_elsewhere_is_marked_as_such_and_accepted_on_the_page(
    client: FlaskClient, store: Store
) -> None:
    noted = TBX.replace("<langSec", "<note>Heard &lt;often&gt;.</note><langSec", 1)
    place = upload(client, noted.encode())
    shown = client.get(place).text
    assert "Kept as notes that name this file" in shown
    finished(client, client.post(place, data={"take": "new"}))
    with store.read() as reader:
        entry = next(e for e in reader.all(Entry) if e.foreign_notes)
    page = client.get(f"/entries/{entry.id}").text
    assert "Imported notes" in page
    assert "note, from words.tbx" in page
    assert "Heard &lt;often&gt;." in page
    assert "Not printed" in page
    data = {"do": "accept", "term": "", "number": "0", "words": "Heard <often>."}
    assert client.post(f"/entries/{entry.id}/foreign-notes", data={**data, "words": "x"}).status_code == 409
    assert client.post(f"/entries/{entry.id}/foreign-notes", data={**data, "number": "9"}).status_code == 404
    assert client.post(f"/entries/{entry.id}/foreign-notes", data={**data, "do": "eat"}).status_code == 400
    answer = client.post(f"/entries/{entry.id}/foreign-notes", data=data)
    assert answer.status_code == 303
    assert "Accepted for printing" in client.get(f"/entries/{entry.id}").text
    with store.read() as reader:
        assert reader.get(Entry, entry.id).foreign_notes[0].accepted
        assert reader.last_acts(1)[0].words == f"accepted an imported note on {entry.id}"


def test_changing_a_name_keeps_its_notes_from_elsewhere(client: FlaskClient, store: Store) -> None:
    noted = TBX.replace("</termSec>", "<note>Heard often.</note></termSec>", 1)
    finished(client, client.post(upload(client, noted.encode()), data={"take": "new"}))
    with store.read() as reader:
        entry = next(e for e in reader.all(Entry) if e.terms[0].foreign_notes)
    term = entry.terms[0]
    form = {"text": "another", "language": term.language, "origin": "not stated"}
    answer = client.post(f"/entries/{entry.id}/edit/term-{term.id}", data=form)
    assert answer.status_code == 303
    with store.read() as reader:
        now = reader.get(Entry, entry.id).terms[0]
    assert (now.text, now.foreign_notes) == ("another", term.foreign_notes)
