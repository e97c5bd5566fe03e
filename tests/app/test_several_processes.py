"""Long work, uploads, previews and reports over several processes and a restart: none of it is lost."""

import json
import os
import re
import shutil
import time
from collections.abc import Callable, Iterator
from contextlib import closing
from datetime import timedelta
from io import BytesIO
from pathlib import Path
from threading import Event

import pytest
from click.testing import CliRunner
from flask.testing import FlaskClient

from app.cli import main
from app.web import Settings, access, create_app, progress, proof, workspace
from app.web.progress import Finished, Job, State
from exports.backup.writing import write_backup
from termbase.acts import entries as entry_acts
from termbase.acts.sources import save_source
from termbase.messages import message, message_of_number
from termbase.record.entries import Entry, Origin, Term
from termbase.record.people import Termbase
from termbase.record.sources import Source, SourceKind
from termbase.store.digest import digest_of
from termbase.store.engine import Store
from tests.stress.killed_jobs import killed, started

Opens = Callable[..., FlaskClient]
PDF = {"paper": "a5", "drafts": "all", "direction": ["articles", "reverse"]}
CSV = b"name,language,origin\nhank,en,coined\nback-heel,en,in use\n"


@pytest.fixture
def opens(place: str, tmp_path: Path) -> Iterator[Opens]:
    """Each call returns a browser on a separate process that serves the same termbase."""
    made = Store.create(place, Termbase("Words", vernaculars=("cy",)), by="Gwen")
    with closing(made), made.act("Gwen", "made a source") as act:
        save_source(act, Source("", "Lantern", SourceKind.NEWSPAPER, "The Lantern", rights="Free."))
    stores: list[Store] = []

    def give(language: str = "en", person: str = "Gwen", **more: object) -> FlaskClient:
        store = Store.open(place)
        stores.append(store)
        settings = Settings(store, **{"files": str(tmp_path / "files"), **more})  # type: ignore[arg-type]
        browser = create_app(settings).test_client()
        browser.environ_base.update(HTTP_ORIGIN="http://localhost", HTTP_ACCEPT_LANGUAGE=language)
        browser.set_cookie("wordhold_person", person)
        return browser

    yield give
    for store in stores:
        store.close()


def ended(browser: FlaskClient) -> Job:
    with browser.application.app_context():
        job = progress.jobs().newest()[0]
    assert job.wait(60)
    return job


def start(browser: FlaskClient, work: Callable[[Job], Finished]) -> Job:
    with browser.application.test_request_context("/publish", headers={"Accept-Language": "en"}):
        return progress.start(message("Glossary, %(paper)s", paper="A5"), work)


def store_of(browser: FlaskClient) -> Store:
    result: Settings = browser.application.extensions["wordhold"]
    return result.store


def test_another_process_shows_and_stops_a_job_in_the_readers_language(
    opens: Opens,
) -> None:
    first, other = opens("en"), opens("cy", "Nia")
    ready, go_on = Event(), Event()

    def work(job: Job) -> Finished:
        job.tell(3, 60, message("Reading the entries"))
        ready.set()
        while not go_on.is_set():
            job.tell(3, 60)
            time.sleep(0.01)
        raise AssertionError("it was not stopped")

    job = start(first, work)
    assert ready.wait(10)
    page = other.get(f"/progress/{job.id}").text
    state = other.get(f"/progress/{job.id}.json").json
    stopped = other.post(f"/progress/{job.id}/stop", follow_redirects=True).text

    assert job.wait(20)
    assert job.state is State.STOPPED
    assert 'value="3" max="60"' in page
    assert "Geirfa, A5" in page
    assert state == {"state": "running", "done": 3, "total": 60, "words": "Yn darllen y cofnodion"}
    assert "Wedi stopio." in stopped or "Wedi stopio." in other.get(f"/progress/{job.id}").text
    assert "researcher" in stopped


def test_created_files_survive_a_restart(opens: Opens) -> None:
    browser = opens()
    browser.post("/publish/tbx", data={"dialect": "basic-dca", "entries": "all"})
    job = ended(browser)
    store_of(browser).close()
    other = opens("ga")

    assert f'href="/progress/{job.id}"' in other.get("/publish").text
    page = other.get(f"/progress/{job.id}").text
    assert "0 iontráil, 0 ainm" in page
    assert "Á choinneáil go dtí" in page
    assert "Tosaithe ag Gwen" in page
    with other.get(f"/progress/{job.id}/file") as file:
        assert b"<tbx" in file.data
        assert "basic-dca.tbx" in file.headers["Content-Disposition"]
    assert other.get(f"/publish/losses/{job.id}").status_code == 200


def test_an_uploaded_table_is_mapped_previewed_and_imported_by_other_processes(opens: Opens) -> None:
    columns = opens().post("/exchange", data={"file": (BytesIO(CSV), "words.csv")}).location
    second = opens()
    assert "Columns of words.csv" in second.get(columns).text
    mapped = {"column-0": "name", "column-1": "language", "column-2": "origin"}
    preview = second.post(columns, data=mapped).location
    assert "back-heel" in opens().get(preview).text

    assert opens().post(preview, data={"take": "new"}).location == preview

    last = opens("cy")
    assert "Mewnforiwyd words.csv" in last.get(preview).text
    with store_of(last).read() as reader:
        assert reader.count(Entry) == 2


def test_changes_in_the_meantime_are_reported_whichever_process_imports(opens: Opens) -> None:
    first, other = opens(), opens()
    with store_of(first).act("Gwen", "created an entry") as act:
        entry_acts.save(act, Entry("", terms=(Term("", "hank", "en", Origin.COINED),)))
    table = b"entry,name,language,usage_note\nc0001,hank,en,Of a man.\n"
    columns = first.post("/exchange", data={"file": (BytesIO(table), "words.csv")}).location
    mapped = {f"column-{n}": key for n, key in enumerate(("entry", "name", "language", "usage_note"))}
    preview = first.post(columns, data=mapped).location
    with store_of(first).act("Nia", "changed it") as act:
        entry = act.get(Entry, "c0001")
        entry_acts.save(act, Entry(entry.id, terms=entry.terms, usage_note="Of a girl.", version=1))

    answer = other.post(preview, data={"take": "all"})

    assert answer.status_code == 409
    assert "was changed in the meantime; nothing was imported" in answer.text
    assert "Of a girl." in answer.text


def test_findings_of_a_large_termbase_are_read_by_every_process(
    opens: Opens, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(proof, "LARGE", 0)
    first, other = opens(), opens("cy")
    assert "Rhedeg y gwiriadau" in other.get("/proof").text
    with store_of(first).act("Gwen", "created an entry") as act:
        entry_acts.save(act, Entry("", terms=(Term("", "hank", "en", Origin.COINED),)))
    first.post("/proof/run")
    assert ended(first).state is State.FINISHED

    page = other.get("/proof").text
    assert "pwnc ar goll." in page
    assert 'href="/entries/c0001"' in page
    assert other.get("/proof/findings.csv").status_code == 200
    with store_of(first).act("Gwen", "made another") as act:
        entry_acts.save(act, Entry("", terms=(Term("", "belt", "en", Origin.COINED),)))
    first.post("/proof/run")
    assert ended(first).state is State.FINISHED
    assert 'href="/entries/c0002"' in other.get("/proof").text


def test_a_text_being_read_and_the_file_of_a_rejected_form_survive_a_restart(opens: Opens) -> None:
    browser = opens()
    reading = browser.post("/reading", data={"source": "s1", "text": "He was thrown at noon."}).location
    refused = browser.post("/reading", data={"source": "", "file": (BytesIO(b"A fair fall."), "report.txt")})
    token = re.search(r'name="kept-file" value="([^"]+)"', refused.text)
    store_of(browser).close()
    other = opens()

    assert "He was thrown at noon." in other.get(reading).text
    assert token
    taken = other.post("/reading", data={"source": "s1", "kept-file": token[1]})
    assert "A fair fall." in other.get(taken.location).text


def test_wrong_keys_are_counted_for_all_processes_together(opens: Opens) -> None:
    first, other = opens(key="wood-fair-turf-hill-1868"), opens(key="wood-fair-turf-hill-1868")
    for n in range(access.TRIES):
        assert (first, other)[n % 2].post("/key", data={"key": "wrong"}).status_code == 403

    assert first.post("/key", data={"key": "wood-fair-turf-hill-1868"}).status_code == 429
    assert opens(key="wood-fair-turf-hill-1868").post("/key", data={"key": "wrong"}).status_code == 429


def test_job_rows_are_not_in_digests_or_backups(opens: Opens, tmp_path: Path) -> None:
    browser = opens()
    store = store_of(browser)
    with store.engine.connect() as connection:
        before = digest_of(connection)
    browser.post("/publish/files/citations", data={"citation_format": "csl-json"})
    browser.post("/exchange", data={"file": (BytesIO(CSV), "words.csv")})
    ended(browser)
    with store.engine.connect() as connection:
        assert digest_of(connection) == before
    with store.read() as reader:
        write_backup(reader, tmp_path / "b.zip", made_on="2026-03-01")
        assert len(reader.last_acts(9)) == 2
    assert b"words.csv" not in (tmp_path / "b.zip").read_bytes()


# A real second process


def wait_until(browser: FlaskClient, job_id: str, result: Callable[[dict[str, object]], bool]) -> None:
    end = time.monotonic() + 30
    while time.monotonic() < end:
        state = browser.get(f"/progress/{job_id}.json").json
        if result(state):
            return
        time.sleep(0.05)
    raise AssertionError(state)


@pytest.mark.parametrize("what", ["job", "act"])
def test_a_job_of_another_process_is_shown_and_can_be_stopped(
    opens: Opens, place: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, what: str
) -> None:
    """`act`: on SQLite nobody else can write meanwhile, but it can still be stopped."""
    monkeypatch.setenv("WORDHOLD_FILES", str(tmp_path / "files"))
    here = opens("cy")
    process, job_id = started(what, place, 5000)
    try:
        wait_until(here, job_id, lambda state: bool(state["done"]) and state["total"] == 5000)
        assert here.get(f"/progress/{job_id}.json").json["words"] == "Yn darllen y cofnodion"
        here.post(f"/progress/{job_id}/stop")
        wait_until(here, job_id, lambda state: state["state"] == "stopped")
        assert process.wait(30) == 0
    finally:
        killed(process)
    assert "Wedi stopio." in here.get(f"/progress/{job_id}").text
    with store_of(here).read() as reader:
        assert reader.count(Entry) == 0


def test_a_job_whose_process_was_killed_is_reported_with_what_to_do(
    opens: Opens, place: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("WORDHOLD_FILES", str(tmp_path / "files"))
    here = opens()
    process, job_id = started("job", place, 5000)
    wait_until(here, job_id, lambda state: bool(state["done"]))
    killed(process)

    page = here.get(f"/progress/{job_id}").text
    assert "The program stopped while this was running." in page
    assert "Nothing incomplete was kept. Start it again." in page
    assert here.get(f"/progress/{job_id}.json").json["state"] == "cut off"
    assert "cut off" in here.get("/publish").text
    assert not list((tmp_path / "files").glob("*.job"))
    assert here.get(f"/progress/{job_id}/file").status_code == 404


# Expiry


def later(monkeypatch: pytest.MonkeyPatch, **more: float) -> None:
    at = workspace.now() + timedelta(**more)
    monkeypatch.setattr(workspace, "now", lambda: at)


def test_everything_expires_and_later_requests_say_how_long_it_was_kept(
    opens: Opens, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    browser = opens()
    browser.post("/publish/files/citations", data={"citation_format": "csl-json"})
    job = ended(browser)
    preview_address = browser.post("/exchange", data={"file": (BytesIO(CSV), "words.csv")}).location
    refused = browser.post("/reading", data={"source": "", "file": (BytesIO(b"A fall."), "report.txt")})
    token = re.search(r'name="kept-file" value="([^"]+)"', refused.text)
    assert token
    kept = list((tmp_path / "files").glob("*.kept"))
    assert len(kept) == 3
    assert {oct(path.stat().st_mode & 0o777) for path in (*kept,)} == {"0o600"}

    def sweep() -> None:
        with browser.application.app_context():
            workspace.workspace().sweep()

    later(monkeypatch, days=2)
    sweep()
    output = opens().post("/reading", data={"source": "s1", "kept-file": token[1]})
    assert output.status_code == 400
    assert "“report.txt” was kept until" in output.text
    assert "Choose it again." in output.text
    assert browser.get(preview_address).status_code == 200

    later(monkeypatch, days=6)
    assert (
        "“words.csv” was kept until" in opens().get(preview_address).text
    )  # although nothing was cleaned up
    sweep()
    assert not list((tmp_path / "files").glob("*.kept"))
    for asked, shown, fix in (
        (preview_address, "“words.csv” was kept until", "Upload it again."),
        (f"/progress/{job.id}", "The result of “Sources, CSL-JSON” was kept until", "Start it again."),
        (f"/progress/{job.id}/file", "The result of", "Start it again."),
    ):
        answer = opens().get(asked)
        assert answer.status_code == 404
        assert shown in answer.text
        assert fix in answer.text
    assert "Nothing yet." in browser.get("/publish/files").text

    later(monkeypatch, days=100)
    sweep()
    assert "This job is no longer known." in browser.get(f"/progress/{job.id}").text


def test_viewing_a_text_extends_its_lifetime(opens: Opens, monkeypatch: pytest.MonkeyPatch) -> None:
    browser = opens()
    reading = browser.post("/reading", data={"source": "s1", "text": "He was thrown at noon."}).location
    for _ in range(3):
        later(monkeypatch, days=20)
        assert browser.get(reading).status_code == 200
    later(monkeypatch, days=31)
    assert "was kept until" in browser.get(reading).text


# The folder


@pytest.mark.parametrize("harm", ["removed", "cut short", "changed"])
def test_a_changed_file_is_reported_and_never_served(opens: Opens, tmp_path: Path, harm: str) -> None:
    browser = opens()
    browser.post("/publish/files/table", data={"kind": "csv", "rows": "names", "entries": "all"})
    job = ended(browser)
    (path,) = (tmp_path / "files").glob("*.kept")
    if harm == "removed":
        path.unlink()
    else:
        path.write_bytes(path.read_bytes()[:-1] + (b"" if harm == "cut short" else b"x"))

    answer = browser.get(f"/progress/{job.id}/file")

    assert answer.status_code == 404
    assert "The file “names.csv” is missing from the files folder, or damaged." in answer.text
    assert "Create it again." in answer.text


def test_a_folder_removed_under_a_running_job_does_not_stop_an_act(opens: Opens, tmp_path: Path) -> None:
    browser = opens()
    ready, go_on = Event(), Event()

    def work(job: Job) -> Finished:
        finished = Finished(message("The table has been imported."), url="/entries")
        with store_of(browser).act("Gwen", "created an entry") as act:
            entry_acts.save(act, Entry("", terms=(Term("", "hank", "en", Origin.COINED),)))
            act.flush()
            ready.set()
            go_on.wait(20)
            job.tell(1, 1, message("Writing"))
            job.settle(act.connection, finished)
        return finished

    job = start(browser, work)
    assert ready.wait(10)
    shutil.rmtree(tmp_path / "files")
    go_on.set()
    assert job.wait(20)

    assert job.state is State.FINISHED
    assert "The table has been imported." in browser.get(f"/progress/{job.id}").text
    browser.post("/publish/files/citations", data={"citation_format": "csl-json"})
    assert ended(browser).state is State.FINISHED


def test_an_unusable_folder_is_reported_in_one_message(opens: Opens, tmp_path: Path) -> None:
    (tmp_path / "taken").write_text("a file of that name", encoding="utf-8")
    browser = opens(files=str(tmp_path / "taken"))

    answer = browser.post("/publish/files/citations", data={"citation_format": "csl-json"})

    assert answer.status_code == 503
    assert "The folder for files cannot be used" in answer.text
    assert "WORDHOLD_FILES" in answer.text
    assert browser.get("/publish").status_code == 200


@pytest.mark.parametrize("database", ["postgresql"])
def test_postgresql_without_a_folder_reports_it_wherever_a_folder_is_needed(opens: Opens) -> None:
    browser = opens(files="")
    for page in ("/", "/publish", "/publish/files", "/exchange", "/reading", "/proof"):
        assert browser.get(page).status_code == 200
    asked = (
        browser.post("/publish/pdf", data=PDF),
        browser.post("/exchange", data={"file": (BytesIO(CSV), "words.csv")}),
        browser.post("/reading", data={"source": "s1", "text": "He was thrown."}),
        browser.post("/reading", data={"source": "", "file": (BytesIO(b"A fall."), "report.txt")}),
    )
    for answer in asked:
        assert answer.status_code == 400
        assert "No folder has been set for uploads" in answer.text
        assert "set the environment variable WORDHOLD_FILES to a folder" in answer.text
    assert "Choose it again: report.txt." in asked[3].text
    with browser.application.app_context():
        assert progress.jobs().newest() == ()


# A read-only termbase


@pytest.mark.parametrize("database", ["sqlite"])
def test_files_from_a_read_only_termbase_are_removed_when_the_program_ends(
    opens: Opens, place: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    may = os.access
    monkeypatch.setattr(os, "access", lambda path, mode: mode != os.W_OK and may(path, mode))
    first, other = opens(), opens(key="wood-fair-turf-hill-1868")
    monkeypatch.undo()
    first.post("/publish/files/table", data={"kind": "csv", "rows": "names", "entries": "all"})
    job = ended(first)

    assert job.state is State.FINISHED, job.error
    assert "Kept until the program stops, since this termbase is read-only." in (
        first.get(f"/progress/{job.id}").text
    )
    with first.get(f"/progress/{job.id}/file") as file:
        assert file.status_code == 200
    assert other.post("/key", data={"key": "wrong"}).status_code == 403
    assert not Path(f"{place}.files").exists()
    columns = first.post("/exchange", data={"file": (BytesIO(CSV), "words.csv")}).location
    mapped = {"column-0": "name", "column-1": "language", "column-2": "origin"}
    preview = first.post(columns, data=mapped).location
    answer = first.post(preview, data={"take": "new"})
    assert answer.status_code == 403
    assert "is read-only" in answer.text


@pytest.mark.parametrize("database", ["postgresql"])
def test_a_read_only_server_is_handled_in_the_same_way(opens: Opens, place: str) -> None:
    with store_of(opens()).engine.connect() as connection:
        connection.exec_driver_sql(
            f"ALTER DATABASE {place.split('?')[0].rsplit('/', 1)[1]} SET default_transaction_read_only = on"
        )
        connection.commit()
    browser = opens()
    browser.post("/publish/files/table", data={"kind": "csv", "rows": "names", "entries": "all"})

    assert ended(browser).state is State.FINISHED
    with browser.get(f"/progress/{ended(browser).id}/file") as file:
        assert file.status_code == 200


# Data from another version, and a full disk


@pytest.mark.parametrize("kept", ["[]", '{"words": {"sentence": 7}}', "{"])
def test_data_stored_by_another_version_is_reported_and_breaks_nothing_else(opens: Opens, kept: str) -> None:
    browser = opens()
    browser.post("/publish/files/citations", data={"citation_format": "csl-json"})
    job = ended(browser)
    with store_of(browser).writing() as connection:
        connection.exec_driver_sql(f"UPDATE job SET result = '{kept.replace('%', '%%')}'")

    assert "Another version of the program may have saved it" in browser.get(f"/progress/{job.id}").text
    assert browser.get("/publish/files").status_code == 200


def test_a_full_disk_is_reported_in_words(opens: Opens) -> None:
    browser = opens()

    def work(job: Job) -> Finished:
        raise OSError(28, "No space left on device", "/somewhere/words.csv")

    job = start(browser, work)
    assert job.wait(10)
    page = browser.get(f"/progress/{job.id}").text
    assert "The disk is full." in page
    assert "start it again" in page


def test_the_folder_is_beside_the_database_file_unless_another_is_set(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    place = tmp_path / "ours.sqlite"
    with closing(Store.create(str(place), Termbase("Words"), by="Gwen")) as store:
        monkeypatch.delenv("WORDHOLD_FILES", raising=False)
        beside = create_app(Settings(store))
        monkeypatch.setenv("WORDHOLD_FILES", str(tmp_path / "elsewhere"))
        named = create_app(Settings(store))
        result = []
        for app in (beside, named):
            with app.app_context():
                result.append(workspace.workspace().files.folder)
    assert result == [tmp_path / "ours.sqlite.files", tmp_path / "elsewhere"]


def test_foreign_files_in_the_folder_are_left_alone(opens: Opens, tmp_path: Path) -> None:
    browser = opens()
    (tmp_path / "files").mkdir()
    own, left_over = tmp_path / "files" / "holiday.kept.txt", tmp_path / "files" / f"{'x' * 24}.kept"
    for path in (own, left_over):
        path.write_text("x", encoding="utf-8")
        os.utime(path, (0, 0))
    with browser.application.app_context():
        workspace.workspace().sweep()
    assert own.exists()
    assert not left_over.exists()


def test_numbers_in_job_messages_use_the_plural_form_of_the_readers_language(opens: Opens) -> None:
    browser = opens()
    job = start(browser, lambda _: Finished(message_of_number("%(n)s row.", "%(n)s rows.", 2)))
    assert job.wait(10)
    assert "2 rows." in browser.get(f"/progress/{job.id}").text
    assert "2 res." in opens("cy").get(f"/progress/{job.id}").text


def test_the_state_is_json_that_a_script_reads(opens: Opens) -> None:
    browser = opens()
    job = start(browser, lambda _: Finished(message("All of it was undone.")))
    assert job.wait(10)
    result = json.loads(browser.get(f"/progress/{job.id}.json").text)
    assert result["state"] == "finished"


@pytest.mark.parametrize("database", ["postgresql"])
def test_serving_a_database_server_without_a_folder_is_rejected_at_the_start(
    opens: Opens, place: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.delenv("WORDHOLD_FILES", raising=False)
    done = CliRunner().invoke(main, ["serve", "--db", place, "--port", "0"])

    assert done.exit_code == 2
    assert "WORDHOLD_FILES: No folder has been set for uploads" in done.stderr


def test_no_personal_state_is_kept_in_the_memory_of_one_process(opens: Opens) -> None:
    """DEVELOPERS.md lists what is kept in memory, and why it works with several processes."""
    browser = opens()
    for page in ("/", "/publish", "/publish/files", "/exchange", "/reading", "/proof", "/entries"):
        browser.get(page)
    ours = {name for name in browser.application.extensions if name.startswith("wordhold")}

    assert ours == {"wordhold", "wordhold_workspace", "wordhold_findings"}
