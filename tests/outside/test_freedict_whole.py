"""A whole real dictionary through the tool: every article in, none lost, out again as valid TBX.

Source: FreeDict (GPL), Debian's packages dict-freedict-eng-cym and -eng-gle. The parsing of -bre-fra, which
takes a minute to enter whole, is tested in test_freedict_parse.py.
"""

import json
import sqlite3
import subprocess
import sys
from collections.abc import Callable
from pathlib import Path

import pytest
from lxml import etree

ROOT = Path(__file__).parent.parent.parent
CHECKER = ROOT.parent / "shared" / "tools" / "tbx_check.py"
LIMIT = "import resource; resource.setrlimit(resource.RLIMIT_DATA, ({0}, {0}));"
HALF_A_GIGABYTE = 500 * 1024 * 1024


def _wordhold(db: Path, *arguments: str) -> str:
    """Run a command in a process that gets no more than 500 MB."""
    code = LIMIT.format(HALF_A_GIGABYTE) + "from app.cli import main; main()"
    command = [sys.executable, "-c", code, *arguments, "--db", str(db)]
    done = subprocess.run(command, cwd=ROOT, capture_output=True, text=True, check=False)
    assert done.returncode == 0, done.stderr
    return done.stdout


@pytest.mark.parametrize(
    ("name", "pattern", "languages", "records"),
    [
        ("eng-cym", "two lines, labels in angle brackets", ("en", "cy"), 12_630),
        ("eng-gle", "two lines, with sound", ("en", "ga"), 1_359),
    ],
)
def test_every_article_becomes_a_line_and_none_is_lost(
    freedict: Callable[[str], Path],
    tmp_path: Path,
    name: str,
    pattern: str,
    languages: tuple[str, str],
    records: int,
) -> None:
    db = tmp_path / "freedict.sqlite"
    text = freedict(name)
    working, vernacular = languages
    _wordhold(db, "new", "--title", f"FreeDict {name}", "--language", working, "--vernacular", vernacular)
    _wordhold(db, "source", "add", "FreeDict", "--title", f"FreeDict {name}", "--pattern", pattern)
    _wordhold(db, "page", "add", str(text.with_suffix(".dict.dz")), "--source", "FreeDict", "--page", "all")
    report = json.loads(_wordhold(db, "page", "accept", "--all-clear", "--also-alike", "--json"))
    assert report["lines"] == records
    lines = json.loads(_wordhold(db, "page", "lines", "--json"))["lines"]
    worked = [x for x in lines if x["state"] == "made"]
    assert len(worked) + len(report["left"]) == records
    assert len(report["left"]) <= records / 500, "more than 2 in 1000 were not read cleanly"
    assert "".join(x["text"] for x in lines).split() == text.read_text("utf-8").split(), "a word was lost"
    with sqlite3.connect(db) as connection:
        made = connection.execute("SELECT count(*) FROM entry").fetchone()[0]
    connection.close()
    assert made == len(report["made"]) >= len(worked)
    if CHECKER.exists() and name == "eng-cym":
        _wordhold(db, "export", "tbx", "--dialect", "basic-dca", "-o", str(tmp_path / "freedict.tbx"))
        _check(tmp_path / "freedict.tbx", len(report["made"]))


def _check(file: Path, entries: int) -> None:
    """The whole file by the published core grammar, its first entries also by the published rules.

    Those rules, run in Python, take two minutes for the whole file.
    """
    document = etree.parse(str(file))
    grammar = etree.RelaxNG(etree.parse(str(CHECKER.parent.parent / "reference" / "tbx" / "core.rng")))
    assert grammar.validate(document), grammar.error_log
    found = document.findall("{*}text/{*}body/{*}conceptEntry")
    assert len(found) == entries
    for element in found[500:]:
        element.getparent().remove(element)
    document.write(str(file), encoding="utf-8", xml_declaration=True)
    checked = subprocess.run(
        [sys.executable, str(CHECKER), str(file)], capture_output=True, text=True, check=False
    )
    assert checked.returncode == 0, checked.stdout[:2000]
