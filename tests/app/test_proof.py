"""Proof: findings by check, filtered, fixed, exported as CSV, and recomputed by a job for a large
termbase."""

import csv
import io

import pytest
from flask.testing import FlaskClient

from app.web import proof
from app.web.progress import Job, State, jobs
from termbase.acts import entries as entry_acts
from termbase.acts.sources import save_slip, save_source
from termbase.proofing.checks import CHECKS, Finding
from termbase.record.entries import Entry, Origin, Term
from termbase.record.sources import Slip, Source, SourceKind
from termbase.store.engine import Store


@pytest.fixture
def faults(store: Store) -> None:
    """Twelve entries with one name each, an unsorted slip, a source without a date."""
    with store.act("Gwen", "made entries") as act:
        for n in range(12):
            entry_acts.save(act, Entry("", terms=(Term("", f"hold {n:02}", "en", Origin.COINED),)))
        paper = save_source(
            act, Source("", "Lantern", SourceKind.NEWSPAPER, "The Quarry Lantern", rights="Free.")
        )
        save_slip(act, Slip("", paper.id, "a fair fall", name="fair fall"))


def ended(client: FlaskClient) -> Job:
    with client.application.app_context():
        job = jobs().newest()[0]
    assert job.wait(30)
    return job


def rows(client: FlaskClient, query: str = "") -> list[dict[str, str]]:
    text = client.get(f"/proof/findings.csv?{query}").text.removeprefix("\ufeff")
    return list(csv.DictReader(io.StringIO(text)))


@pytest.mark.usefixtures("faults")
def test_findings_are_grouped_by_check_with_a_count_and_a_link_to_fix_each(client: FlaskClient) -> None:
    page = client.get("/proof").text

    assert "Entries without a topic: 12" in page
    assert 'href="/entries/c0001"' in page
    assert 'href="/sources/slips/q1"' in page
    assert 'href="/sources/s1"' in page
    assert "Choose what kind of thing it is." in page


@pytest.mark.usefixtures("faults")
def test_every_check_is_counted_in_words_and_as_a_bar(client: FlaskClient) -> None:
    page = client.get("/proof").text

    assert all(check.title in page for check in CHECKS)
    assert page.count("<rect x=") == sum(1 for check in CHECKS if f'check={check.code}"' in page)


@pytest.mark.usefixtures("faults")
def test_a_check_with_many_findings_shows_some_and_links_to_all(client: FlaskClient) -> None:
    first, all_findings = client.get("/proof").text, client.get("/proof?check=no-topic").text

    assert first.count("The topic is missing.") == 10
    assert all_findings.count("The topic is missing.") == 12
    assert "There is no definition" not in all_findings


@pytest.mark.usefixtures("faults")
@pytest.mark.parametrize(
    ("query", "checks"),
    [
        ("kind=slip", {"unsorted-slip"}),
        ("kind=source", {"source-gaps"}),
        ("find=fair+fall", {"unsorted-slip"}),
        ("find=C0003+topic", {"no-topic"}),
        ("check=no-name&find=hold+03", {"no-name"}),
        ("find=nowhere", set()),
    ],
)
def test_findings_are_filtered_and_exported_as_filtered(
    client: FlaskClient, query: str, checks: set[str]
) -> None:
    assert {row["check"] for row in rows(client, query)} == checks
    assert client.get(f"/proof?{query}").status_code == 200


@pytest.mark.usefixtures("faults")
def test_typing_filters_without_reloading_the_page(client: FlaskClient) -> None:
    part = client.get("/proof", query_string={"part": "1", "q": "hold 07"}).text

    assert "hold 07" in part
    assert "hold 08" not in part
    assert "<html" not in part


@pytest.mark.parametrize("query", ["check=nothing", "kind=cat"])
def test_an_unknown_check_or_record_type_is_refused(client: FlaskClient, query: str) -> None:
    assert client.get(f"/proof?{query}").status_code == 400


def test_it_says_when_nothing_is_wrong(client: FlaskClient) -> None:
    assert "Nothing is wrong or missing." in client.get("/proof").text


@pytest.mark.usefixtures("faults")
def test_a_fixed_finding_disappears_at_once(client: FlaskClient, store: Store) -> None:
    assert "Slips not sorted to a name yet: 1" in client.get("/proof").text
    with store.read() as reader:
        term = reader.get(Entry, "c0001").terms[0].id

    client.post("/sources/unsorted/q1", data={"term": term})

    assert "Slips that bear witness" not in client.get("/proof").text


@pytest.mark.usefixtures("faults")
def test_a_large_termbase_is_checked_by_a_job_with_a_progress_bar(
    client: FlaskClient, store: Store, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(proof, "LARGE", 5)
    assert "Run the checks" in client.get("/proof").text
    assert client.get("/proof/findings.csv").status_code == 400
    assert "Run Proof first" in client.get("/publish").text

    answer = client.post("/proof/run")
    job = ended(client)

    assert answer.headers["Location"] == f"/progress/{job.id}"
    assert job.state is State.FINISHED
    assert "Entries without a topic: 12" in client.get("/proof").text
    assert "The record has changed" not in client.get("/proof").text
    with store.act("Gwen", "made another") as act:
        entry_acts.save(act, Entry("", terms=(Term("", "another", "en", Origin.COINED),)))
    assert "The record has changed since the checks were run." in client.get("/proof").text
    assert "The record has changed since Proof last ran." in client.get("/publish").text


def test_findings_are_filtered_and_grouped_once_per_state_of_the_record() -> None:
    made = tuple(
        Finding(check, kind, f"c{n}", f"gafael {n}", "It lacks one.", "Add it.")
        for n in range(40)
        for check, kind in (("no-topic", "entry"), ("source-gaps", "source"))
    )
    checked = proof.Checked(7, 40, 0, made)
    first = checked.narrowed("no-topic", "entry", "  GAFAEL 1")

    assert checked.narrowed("no-topic", "entry", "gafael 1") is first
    assert first.by_check is first.by_check
    assert {f.record_id for f in first.findings} == {"c1", *(f"c{n}" for n in range(10, 20)), "c21", "c31"}
    assert checked.by_check["no-topic"] == checked.by_check["source-gaps"] == 40
    assert checked.by_check["no-gender"] == 0
    assert checked.touched == 40
    assert len(checked.narrowed("", "", "").findings) == 80
