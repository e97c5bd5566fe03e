"""Long jobs: progress bar, stopping, outcome."""

from threading import Event

import pytest
from flask import Flask
from flask.testing import FlaskClient

from app.web import progress, workspace
from app.web.progress import Finished, Job, State
from termbase.errors import BadInput


def test_a_running_job_shows_its_progress_and_reloads_without_scripts(
    app: Flask, client: FlaskClient
) -> None:
    started, go_on = Event(), Event()

    def work(job: Job) -> Finished:
        job.tell(3, 60, "Setting entries")
        started.set()
        go_on.wait(5)
        return Finished("The glossary is ready.")

    with app.test_request_context("/publish"):
        job = progress.start("Glossary", work)
    assert started.wait(5)
    page = client.get(f"/progress/{job.id}").text
    state = client.get(f"/progress/{job.id}.json").json
    go_on.set()

    assert 'value="3" max="60"' in page
    assert 'http-equiv="refresh"' in page
    assert state == {"state": "running", "done": 3, "total": 60, "words": "Setting entries"}
    assert job.wait(5)
    assert "The glossary is ready." in client.get(f"/progress/{job.id}").text
    assert job.back == "/publish"


def test_a_job_stops_at_its_next_step(app: Flask, client: FlaskClient) -> None:
    def work(job: Job) -> Finished:
        while True:
            job.tell(1)

    with app.test_request_context("/publish"):
        job = progress.start("Glossary", work)
    answer = client.post(f"/progress/{job.id}/stop", follow_redirects=True)

    assert job.wait(5)
    assert job.state is State.STOPPED
    assert "Stopped." in answer.text


def test_a_job_that_fails_says_why(app: Flask, client: FlaskClient) -> None:
    def work(job: Job) -> Finished:
        raise BadInput("The file ends too early.", where="words.csv, line 3", fix="Save it again.")

    with app.test_request_context("/publish"):
        job = progress.start("Import", work)
    assert job.wait(5)
    page = client.get(f"/progress/{job.id}").text

    assert all(w in page for w in ("The file ends too early.", "words.csv, line 3", "Save it again."))


def test_a_program_error_is_logged_and_reported_without_internals(
    app: Flask, client: FlaskClient, caplog: pytest.LogCaptureFixture
) -> None:
    def work(job: Job) -> Finished:
        raise ZeroDivisionError("of the innards")

    with app.test_request_context("/publish"):
        job = progress.start("Import", work)
    assert job.wait(5)

    assert job.state is State.FAILED
    assert "of the innards" not in client.get(f"/progress/{job.id}").text
    assert "ZeroDivisionError" in caplog.text


def test_the_file_of_a_job_is_downloaded_under_its_name(app: Flask, client: FlaskClient) -> None:
    def work(job: Job) -> Finished:
        made = job.folder / "out.csv"
        made.write_text("a,b", encoding="utf-8")
        return Finished("Written.", file=made, name="words.csv")

    with app.test_request_context("/publish"):
        job = progress.start("Table", work)
    assert job.wait(5)
    answer = client.get(f"/progress/{job.id}/file")

    assert answer.data == b"a,b"
    assert "words.csv" in answer.headers["Content-Disposition"]
    answer.close()


def test_an_unknown_job_is_not_found(client: FlaskClient) -> None:
    assert client.get("/progress/nothing").status_code == 404


def test_old_jobs_are_removed_with_their_files_and_that_is_reported(
    app: Flask, client: FlaskClient, monkeypatch: pytest.MonkeyPatch
) -> None:
    def work(job: Job) -> Finished:
        (job.folder / "out.csv").write_text("a,b", encoding="utf-8")
        return Finished("Done.", file=job.folder / "out.csv")

    with app.test_request_context("/publish"):
        jobs = [progress.start(title, work) for title in ("first", "second")]
        assert all(job.wait(5) for job in jobs)
        space = workspace.workspace()
        made = [space.files.path(job.made().id) for job in jobs]
        monkeypatch.setattr(workspace, "JOBS_KEPT", 1)
        space.sweep()

    assert [path.exists() for path in made] == [False, True]
    answer = client.get(f"/progress/{jobs[0].id}")
    assert answer.status_code == 404
    assert "The result of “first” was kept until" in answer.text
    assert "Start it again." in answer.text
    with client.get(f"/progress/{jobs[1].id}/file") as fetched:
        assert fetched.data == b"a,b"
