"""The termbases from an earlier version cover everything that version could write; see landed/README.md.

Read without the program's own tables and templates, so that these tests never change.
"""

import json
import lzma
import re
import sqlite3
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest

LANDED = Path(__file__).with_name("landed")
TEMPLATES: dict[str, list[str]] = json.loads((LANDED / "templates.json").read_text("utf-8"))
PLACE = re.compile(r"%\(\w+\)s")


@pytest.fixture(scope="module")
def landed_file(tmp_path_factory: pytest.TempPathFactory) -> Iterator[sqlite3.Connection]:
    file = tmp_path_factory.mktemp("landed") / "landed.sqlite"
    file.write_bytes(lzma.decompress((LANDED / "landed.sqlite.xz").read_bytes()))
    connection = sqlite3.connect(file)
    yield connection
    connection.close()


def fits(template: str, text: str) -> bool:
    shape = ".*".join(re.escape(piece.replace("%%", "%")) for piece in PLACE.split(template))
    return re.fullmatch(shape, text, re.DOTALL) is not None


def made_by(text: str, templates: list[str]) -> str:
    """The template of a text: of those that match, the one with the most fixed words."""
    fitting = [template for template in templates if fits(template, text)]
    return max(fitting, key=lambda template: len(PLACE.sub("", template)), default="")


def missing(name: str, texts: list[str]) -> list[str]:
    used = {made_by(text, TEMPLATES[name]) for text in texts}
    return [template for template in TEMPLATES[name] if template not in used]


def column(connection: sqlite3.Connection, query: str) -> list[str]:
    return [row[0] for row in connection.execute(query)]


def states(connection: sqlite3.Connection, kind: str) -> list[dict[str, Any]]:
    query = "SELECT before, after FROM change WHERE kind = ?"
    rows = connection.execute(query, (kind,)).fetchall()
    return [json.loads(state) for row in rows for state in row if state is not None]


def test_every_act_is_covered(landed_file: sqlite3.Connection) -> None:
    assert missing("acts", column(landed_file, "SELECT what FROM act")) == []


def test_every_act_on_a_line_is_covered(landed_file: sqlite3.Connection) -> None:
    acts = column(landed_file, "SELECT what FROM act WHERE what LIKE '“%'")
    assert missing("acts on lines", [act.partition("): ")[2] for act in acts]) == []


def test_own_words_and_nested_acts_are_covered(landed_file: sqlite3.Connection) -> None:
    acts = column(landed_file, "SELECT what FROM act")
    assert "" in {made_by(act, TEMPLATES["acts"]) for act in acts}
    assert any(act.startswith("took back: took back: ") for act in acts)
    assert any(act.startswith("took back: “") for act in acts)


def parsed_lines(connection: sqlite3.Connection) -> list[dict[str, Any]]:
    return [
        json.loads(text) for text in column(connection, "SELECT parsed FROM line WHERE parsed IS NOT NULL")
    ]


def test_every_reason_and_every_problem_of_a_line_is_covered(landed_file: sqlite3.Connection) -> None:
    parsed = parsed_lines(landed_file)
    kept = column(landed_file, "SELECT reason FROM line")
    kept += [problem["why"] for line in parsed for problem in line.get("troubles", ())]
    kept += [printed["why"] for line in parsed for printed in line.get("printed", ())]
    assert missing("kept with lines", kept) == []
    assert any(", judged as c0015 back-heel: " in text for text in kept)
    assert set(TEMPLATES["usual reasons"]) <= set(kept)


def test_every_part_of_a_line_is_expected_once(landed_file: sqlite3.Connection) -> None:
    problems = [p["why"] for line in parsed_lines(landed_file) for p in line.get("troubles", ())]
    for words in TEMPLATES["expected"]:
        for part in TEMPLATES["parts of a line"] if "%(part)s" in words else [""]:
            expected = words.replace("%(part)s", part).replace("%(sign)s", "[")
            assert any(f"There should be {expected} here" in problem for problem in problems), expected


def test_every_part_has_one_printed_spelling(landed_file: sqlite3.Connection) -> None:
    parts = {p["part"] for line in parsed_lines(landed_file) for p in line.get("printed", ())}
    assert missing("printed parts", sorted(parts)) == []
    for part in TEMPLATES["parts of a line"]:
        assert {part, f"sense 1 {part}", f"sense 12 equivalent 2 {part}"} <= parts


def test_readings_are_reopened_for_every_reason(landed_file: sqlite3.Connection) -> None:
    whys = [
        why
        for entry in states(landed_file, "entry")
        for which in ("language_reading", "practice_reading")
        if (why := entry.get(which, {}).get("reopened"))
    ]
    assert missing("reopened", whys) == []
    changed = {why.removesuffix(" changed after it was signed") for why in whys}
    assert set(TEMPLATES["covered by readings"]) <= changed
    assert {"by mistake", "by Elin Maesgwyn"} <= set(whys)  # a person's own words, and ours


def test_every_kind_of_record_is_covered_and_in_the_history(landed_file: sqlite3.Connection) -> None:
    tables = column(landed_file, "SELECT name FROM sqlite_master WHERE type = 'table'")
    empty = [t for t in tables if not landed_file.execute(f'SELECT count(*) FROM "{t}"').fetchone()[0]]
    assert empty == []
    kinds = set(column(landed_file, "SELECT kind FROM change"))
    assert kinds == {
        "termbase", "person", "source", "code", "entry", "redirect", "slip", "page", "line", "trial",
    }  # fmt: skip


@pytest.mark.parametrize(
    ("query", "members"),
    [
        ("SELECT origin FROM term", "in use,word-list,rebuilt,coined"),
        ("SELECT status FROM term", "preferred,admitted,deprecated,superseded"),
        ("SELECT type FROM term", "full form,variant,short form,phrase"),
        ("SELECT gender FROM term", "masculine,feminine,masculine or feminine,neuter,common"),
        ("SELECT number FROM term", "singular,plural,dual,collective,mass"),
        ("SELECT register FROM term", "neutral,technical,colloquial,slang,dialect,literary"),
        ("SELECT kind FROM relation", "broader,counter to,follows,contrasts with,see also"),
        ("SELECT kind FROM slip", "use,mention,definition,headword,rule"),
        ("SELECT certainty FROM slip", "secure,probable,doubtful"),
        ("SELECT kind FROM source", "newspaper,word-list,rule book,manuscript,recording,picture,other"),
        ("SELECT state FROM line", "new,attached,made,set aside,unparsed,furniture"),
        ("SELECT outcome FROM trial", "works,works with a change,fails"),
        ("SELECT apart FROM slip", "0,1"),
        ("SELECT corrected FROM line", "0,1"),
        ("SELECT media_type FROM image", "image/webp,image/png,image/jpeg"),
    ],
)
def test_every_member_of_every_list_is_covered(
    landed_file: sqlite3.Connection, query: str, members: str
) -> None:
    result = {str(value) for value in column(landed_file, query) if value is not None}
    assert set(members.split(",")) <= result
