"""Publish: what is missing first, the files created, and the details of the termbase."""

import pytest
from flask.testing import FlaskClient

from app.web.progress import Job, State, jobs
from exports.tbx.styles import DIALECTS
from termbase.acts import entries as entry_acts
from termbase.acts.termbase import save_person
from termbase.record.entries import Entry, Origin, Term
from termbase.record.people import Person, Role
from termbase.store.engine import Store

PDF = {"paper": "a5", "drafts": "all", "direction": ["articles", "reverse"]}


@pytest.fixture
def heel(store: Store) -> Entry:
    with store.act("Gwen", "created an entry") as act:
        terms = (
            Term("", "back-heel", "en", Origin.IN_USE, usage_note="Said of a man."),
            Term("", "bachiad sawdl", "cy", Origin.COINED),
        )
        return entry_acts.save(act, Entry(id="", terms=terms, editor_note="Ask again."))


def ended(client: FlaskClient) -> Job:
    """Return the newest job, once it has finished."""
    with client.application.app_context():
        job = jobs().newest()[0]
    assert job.wait(60)
    return job


def test_missing_items_come_first_and_link_to_proof(client: FlaskClient, heel: Entry) -> None:
    page = client.get("/publish").text

    assert "readings not signed: <b>2</b>" in page
    assert 'href="/proof?check=reading-open"' in page
    assert "Nothing yet." in page


@pytest.mark.parametrize("paper", ["a5", "a4"])
def test_a_job_prints_the_glossary_for_download(client: FlaskClient, heel: Entry, paper: str) -> None:
    answer = client.post("/publish/pdf", data=PDF | {"paper": paper})
    job = ended(client)

    assert answer.headers["Location"] == f"/progress/{job.id}"
    assert "1 entry, 1 of them marked as draft" in client.get(f"/progress/{job.id}").text
    with client.get(f"/progress/{job.id}/file") as file:
        assert file.data.startswith(b"%PDF-")
        assert f"glossary-{paper}.pdf" in file.headers["Content-Disposition"]
    assert "Download the file" in client.get("/publish").text


def test_ready_only_leaves_out_drafts(client: FlaskClient, heel: Entry) -> None:
    client.post("/publish/pdf", data=PDF | {"drafts": "ready"})

    assert "0 entries, on" in client.get(f"/progress/{ended(client).id}").text


@pytest.mark.parametrize("dialect", DIALECTS)
def test_a_tbx_file_is_written_in_every_dialect_with_its_losses_as_a_table(
    client: FlaskClient, heel: Entry, dialect: str
) -> None:
    client.post("/publish/tbx", data={"dialect": dialect, "entries": "all"})
    job = ended(client)

    with client.get(f"/progress/{job.id}/file") as file:
        assert b"bachiad sawdl" in file.data
        assert f"{dialect}.tbx" in file.headers["Content-Disposition"]
    report = client.get(f"/publish/losses/{job.id}").text
    assert "Left out" in report
    assert '<th scope="row">' in report
    assert f'href="/publish/losses/{job.id}"' in client.get("/publish").text


def test_losses_that_matter_come_before_bookkeeping(
    demo_client: FlaskClient,
) -> None:
    demo_client.post("/publish/tbx", data={"dialect": "basic-dca", "entries": "all"})
    report = demo_client.get(f"/publish/losses/{ended(demo_client).id}").text
    people, versions = report.index("People of the trial"), report.index("Version of the slip")
    assert people < versions < report.index("Title (termbase)")


def test_only_ready_entries_are_exported_on_request(client: FlaskClient, heel: Entry) -> None:
    with client.application.app_context():
        client.post("/publish/tbx", data={"dialect": "basic-dca", "entries": "ready"})

    with client.get(f"/progress/{ended(client).id}/file") as file:
        assert b"bachiad sawdl" not in file.data


@pytest.mark.parametrize(
    ("path", "data", "field"),
    [
        ("pdf", PDF | {"paper": "a3"}, "paper"),
        ("pdf", {"drafts": "all", "direction": "articles"}, "paper"),
        ("pdf", PDF | {"drafts": "some"}, "drafts"),
        ("pdf", PDF | {"direction": "sideways"}, "direction"),
        ("pdf", {"paper": "a5", "drafts": "all"}, "direction"),
        ("pdf", PDF | {"code": "r99"}, "code"),
        ("tbx", {"dialect": "max", "entries": "all"}, "dialect"),
        ("tbx", {"dialect": "basic-dca", "entries": "few"}, "entries"),
        ("tbx", {}, "dialect"),
    ],
)
def test_an_invalid_option_shows_an_error_beside_its_field(
    client: FlaskClient, path: str, data: dict[str, object], field: str
) -> None:
    answer = client.post(f"/publish/{path}", data=data)

    assert answer.status_code == 400
    assert f'id="{field}-error"' in answer.text or f"{field}: " in answer.text
    with client.application.app_context():
        assert jobs().newest() == ()


def test_a_stopped_job_leaves_no_file(client: FlaskClient, heel: Entry) -> None:
    client.post("/publish/pdf", data=PDF)
    with client.application.app_context():
        job = jobs().newest()[0]
    client.post(f"/progress/{job.id}/stop")
    assert job.wait(60)

    assert job.state in (State.STOPPED, State.FINISHED)
    assert (client.get(f"/progress/{job.id}/file").status_code == 404) == (job.state is State.STOPPED)


def test_only_tbx_files_have_a_loss_report(client: FlaskClient, heel: Entry) -> None:
    client.post("/publish/pdf", data=PDF)

    assert client.get(f"/publish/losses/{ended(client).id}").status_code == 404


def test_the_termbase_details_can_be_changed(client: FlaskClient, store: Store) -> None:
    assert 'href="/publish/termbase"' in client.get("/entries").text
    form = {"title": "Words", "working_language": "EN-gb", "vernaculars": "cy, ga", "licence": "CC-BY-4.0",
            "rights": "Ours.", "notice": "Read with care.", "version": "1"}  # fmt: skip

    answer = client.post("/publish/termbase", data=form, follow_redirects=True)

    assert "Read with care." in answer.text
    with store.read() as reader:
        now = reader.termbase()
    assert (now.title, now.working_language, now.vernaculars) == ("Words", "en-GB", ("cy", "ga"))
    assert (now.licence, now.rights) == ("CC-BY-4.0", "Ours.")


@pytest.mark.parametrize(
    ("field", "value"),
    [("title", ""), ("working_language", "english!"), ("vernaculars", "cy en"), ("vernaculars", "w!")],
)
def test_invalid_termbase_details_show_an_error_beside_the_field(
    client: FlaskClient, field: str, value: str
) -> None:
    form = {
        "title": "Words",
        "working_language": "en",
        "vernaculars": "cy",
        "licence": "kept",
        "version": "1",
    }
    answer = client.post("/publish/termbase", data=form | {field: value})

    assert answer.status_code == 400
    assert f'id="{field}-error"' in answer.text
    assert 'value="kept"' in answer.text


def test_the_second_of_two_people_sees_both_versions(client: FlaskClient) -> None:
    form = {"title": "Words", "working_language": "en", "vernaculars": "cy", "version": "1"}
    client.post("/publish/termbase", data=form | {"title": "Theirs"})

    answer = client.post("/publish/termbase", data=form | {"title": "Mine"})

    assert answer.status_code == 409
    assert 'value="Mine"' in answer.text
    assert "Theirs</bdi>" in answer.text


def test_people_can_be_added_changed_and_removed(client: FlaskClient, store: Store) -> None:
    client.post(
        "/publish/people/new", data={"name": "Siân Ŵyn", "role": ["speaker", "coach"], "version": "0"}
    )
    with store.read() as reader:
        person = reader.all(Person)[0]
    assert (person.name, person.roles) == ("Siân Ŵyn", (Role.SPEAKER, Role.COACH))

    client.post(f"/publish/people/{person.id}", data={"name": "Siân Wyn", "version": "1"})
    assert "Siân Wyn" in client.get("/publish/termbase").text
    client.post(f"/publish/people/{person.id}/remove")
    with store.read() as reader:
        assert reader.all(Person) == ()


@pytest.mark.parametrize(
    "data", [{"name": " "}, {"name": "Ifan Hughes"}, {"name": "Nest", "role": "referee"}]
)
def test_a_person_without_a_name_with_a_taken_name_or_an_unknown_role_is_refused(
    client: FlaskClient, store: Store, data: dict[str, str]
) -> None:
    with store.act("Gwen", "named somebody") as act:
        save_person(act, Person("", "Ifan Hughes"))

    answer = client.post("/publish/people/new", data=data | {"version": "0"})

    assert answer.status_code == 400
    assert 'aria-describedby="name-new-error"' in answer.text
