"""Texts from the record are translated: errors, Proof, evidence, search, line problems, history.

The voice used here puts every translated sentence in brackets, so that untranslated texts can be seen.
"""

import ast
from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest
from flask import Flask, render_template_string
from flask.testing import FlaskClient

from app.web import language
from app.web.language import gettext, speaking, translated
from app.web.translations.extracting import messages
from termbase.acts import entries as entry_acts
from termbase.acts.accepting import accept_all_clear
from termbase.acts.pages import add_page
from termbase.acts.sources import save_source
from termbase.codes.wording import statement_text
from termbase.messages import Message, message
from termbase.overviews.articles import Library
from termbase.proofing.checks import proof
from termbase.record.entries import Definition, Entry, Origin, Term, Topic
from termbase.record.pages import Line
from termbase.record.sources import Source, SourceKind
from termbase.search.finding import complete, find
from termbase.search.likeness import Resembler
from termbase.store.engine import Store
from termbase.technique.coherence import check_mechanics
from termbase.voice import Voice
from termbase.wordlists.pattern_files import write_pattern
from termbase.wordlists.stock import STOCK

ROOT = Path(__file__).parents[2]


class Brackets:
    language = "cy"

    def one(self, text: str, /) -> str:
        return f"⟦{text}⟧"

    def number(self, one: str, many: str, n: int, /) -> str:
        return f"⟦{one if n == 1 else many}⟧"


@pytest.fixture(autouse=True)
def bracketed(monkeypatch: pytest.MonkeyPatch) -> Iterator[None]:
    """Put every sentence of the program in brackets."""
    voice = Voice("cy", Brackets())
    monkeypatch.setattr(language, "voice_of", lambda tag: voice)
    with speaking("cy"):
        yield


@pytest.fixture
def worked(store: Store) -> Store:
    """A word-list with one parsed and one unparsed line."""
    with store.act("Gwen", "entered a page") as act:
        pattern = write_pattern(STOCK["pocket list"])
        source = save_source(act, Source("", "List", SourceKind.WORD_LIST, "A list", pattern=pattern))
        add_page(act, source.id, "1", "Belt, s. gwregys\nFist s dwrn\n")
        entry_acts.save(act, Entry("", terms=(Term("", "camu", "cy", Origin.IN_USE),)))
    return store


def test_an_error_says_what_where_and_how_to_fix_it(client: FlaskClient) -> None:
    page = client.get("/entries/c0404").text

    assert "⟦There is no ⟦entry⟧ &#39;c0404&#39;.⟧" in page
    assert "⟦Check the id; ids are never reused.⟧" in page


def test_an_error_beside_a_field_is_translated(client: FlaskClient) -> None:
    answer = client.post("/entries/new", data={"text-cy": "camu", "origin-cy": "in use", "version": "0"})
    trial = {"entry": "c0001", "outcome": "works", "date": "some day", "version": "0"}
    page = client.post("/trials/new", data=trial)

    assert answer.status_code == 303
    assert "⟦“some day” is not a date.⟧" in page.text


def test_every_finding_of_proof_is_translated(demo_client: FlaskClient, demo_store: Store) -> None:
    with demo_store.read() as reader:
        findings = proof(Library(reader))
    page = demo_client.get("/proof").text

    assert [f for f in findings if not isinstance(f.what, Message) or not isinstance(f.fix, Message)] == []
    assert (
        "⟦Check the technique again; leave it if the sources say so.⟧" in page
        or "⟦Read it and sign.⟧" in page
    )
    assert "⟦It has not been read for ⟦language⟧.⟧" in page


def test_reasons_of_evidence_are_translated_with_their_dates(
    demo_client: FlaskClient, demo_store: Store
) -> None:
    with demo_store.read() as reader:
        articles = tuple(Library(reader).articles())
    shown = next(a for a in articles if any("to 1" in r for e in a.names.values() for r in e.reasons))
    page = demo_client.get(f"/entries/{shown.entry.id}").text

    scales = [e for a in articles for e in (*a.names.values(), a.mechanic, a.practice)]
    assert [e for e in scales for reason in e.reasons if not isinstance(reason, Message)] == []
    assert "⟦⟦" in page
    assert "independent witness" in page.replace("⟦%(n)s", "")
    assert "⟦{first} to {last}⟧" not in page


def test_a_message_filled_into_a_sentence_is_translated(app: Flask) -> None:
    with app.test_request_context("/"):
        page = render_template_string(
            "{{ _('See %(what)s', what=what) }} {{ _(what) }}", what=message("a & b")
        )

    assert page == "⟦See ⟦a &amp; b⟧⟧ ⟦a &amp; b⟧"
    assert gettext("See %(what)s", what=message("the topic")) == "⟦See ⟦the topic⟧⟧"


@pytest.mark.parametrize("typed", ["gamu", "cam", "camm", "camu"])
def test_find_gives_the_reason_for_each_hit(client: FlaskClient, worked: Store, typed: str) -> None:
    with worked.read() as reader:
        hits = [*find(reader, typed), *complete(reader, typed)]
    page = client.get(f"/entries/find?q={typed}&part=1").text
    chosen = client.get(f"/entries/choose?q={typed}").get_json()["found"]

    assert hits
    assert [hit for hit in hits if not isinstance(hit.said, Message)] == []
    assert '<span class="how">⟦' in page
    assert all(row["words"].startswith("⟦") for row in chosen)


def test_line_problems_are_shown_in_the_readers_language(client: FlaskClient, worked: Store) -> None:
    with worked.read() as reader:
        line = next(
            parsed_line
            for parsed_line in reader.all(Line)
            if parsed_line.parsed and parsed_line.parsed.troubles
        )
    assert line.parsed is not None
    why = statement_text(line.parsed.troubles[0].why)
    page = client.get(f"/pages/{line.page_id}?at={line.first}").text

    assert why not in page
    assert "⟦There should be " in page


def test_remaining_lines_say_why(worked: Store) -> None:
    with worked.act("Gwen", "accepted") as act:
        report = accept_all_clear(act, act.all(Line), Resembler(act))

    assert [why for _, why in report.left if not isinstance(why, Message)] == []
    assert [translated(why).startswith("⟦not read cleanly: ⟦") for _, why in report.left] == [True]


def test_field_names_in_the_history_are_translated(client: FlaskClient, worked: Store) -> None:
    page = client.get("/history/entry/c0001").text

    assert "⟦name⟧ “camu”" in page
    assert "⟦origin⟧: ⟦in use⟧" in page


@pytest.mark.parametrize(
    ("change", "what"),
    [
        ({"definitions": (Definition("en", "A step."),)}, "a definition"),
        ({"topic": Topic.THROW}, "the topic"),
        ({"usage_note": "Rare."}, "the usage note"),
    ],
)
def test_the_reason_for_a_reopened_reading_is_translated(
    client: FlaskClient, worked: Store, change: dict[str, Any], what: str
) -> None:
    with worked.act("Gwen", "signed and changed") as act:
        for which in ("language", "practice"):
            entry_acts.sign(act, "c0001", which)
        entry_acts.save(act, replace(act.get(Entry, "c0001"), **change))
    page = client.get("/entries/c0001").text

    assert f": ⟦⟦{what}⟧ changed after it was signed⟧" in page


def test_questions_of_mechanics_are_translated(demo_store: Store) -> None:
    with demo_store.read() as reader:
        profiles = [a.entry.technique for a in Library(reader).articles() if a.entry.technique]

    questions = [q for profile in profiles for q in check_mechanics(profile)]
    assert [q for q in questions if not isinstance(q.text, Message)] == []


def test_every_message_in_the_code_is_extracted_for_translation() -> None:
    wanted = {m.id if isinstance(m.id, str) else m.id[0] for m in messages() if m.id}
    paths = [p for room in ("termbase", "exports", "app") for p in (ROOT / room).rglob("*.py")]
    calls = (node for p in paths for node in ast.walk(ast.parse(p.read_text("utf-8"))))
    missed = {
        str(call.args[0].value)
        for call in calls
        if isinstance(call, ast.Call)
        and isinstance(call.func, ast.Name)
        and call.func.id in ("message", "message_of_number", "_", "gettext", "ngettext")
        and call.args
        and isinstance(call.args[0], ast.Constant)
    }

    assert missed - wanted == set()


def test_texts_of_the_record_are_escaped(client: FlaskClient, worked: Store) -> None:
    with worked.act("Gwen", "made entries") as act:
        names = (Term("", "<i>cam</i>", "en", Origin.IN_USE, printed="a"),)
        entry = entry_acts.save(act, Entry("", terms=names))
        other = entry_acts.save(act, Entry("", terms=(replace(names[0], printed="b"),)))
    page = client.get(f"/entries/{entry.id}/merge?other={other.id}").text

    assert "⟦the name “&lt;i&gt;cam&lt;/i&gt;”⟧" in page
    assert "<i>cam</i>" not in page
