"""A whole real dictionary is imported without losing an article, and exported as valid TBX.

Source: FreeDict (GPL), Debian's packages dict-freedict-eng-cym and -eng-gle. The parsing of -bre-fra, which
takes a minute to enter whole, is tested in test_freedict_parse.py.
"""

import gzip
import json
import sqlite3
import subprocess
import sys
from collections.abc import Callable
from contextlib import closing
from pathlib import Path

from lxml import etree

ROOT = Path(__file__).parent.parent.parent
CHECKER = ROOT.parent / "shared" / "tools" / "tbx_check.py"
LIMIT = "import resource; resource.setrlimit(resource.RLIMIT_DATA, ({0}, {0}));"
HALF_A_GIGABYTE = 500 * 1024 * 1024
BEGINNING = 1_000
"""Articles of the larger dictionary, of two lines each."""


def _wordhold(db: Path, *arguments: str) -> str:
    """Run a command in a process that gets no more than 500 MB."""
    code = LIMIT.format(HALF_A_GIGABYTE) + "from app.cli import main; main()"
    command = [sys.executable, "-c", code, *arguments, "--db", str(db)]
    done = subprocess.run(command, cwd=ROOT, capture_output=True, text=True, check=False)
    assert done.returncode == 0, done.stderr
    return done.stdout


def import_whole(text: Path, db: Path, pattern: str, languages: tuple[str, str], records: int) -> None:
    """Import a dictionary from its compressed file, and check against its text that nothing is lost."""
    working, vernacular = languages
    _wordhold(db, "new", "--title", text.stem, "--language", working, "--vernacular", vernacular)
    _wordhold(db, "source", "add", "FreeDict", "--title", text.stem, "--pattern", pattern)
    _wordhold(db, "page", "add", str(text.with_suffix(".dict.dz")), "--source", "FreeDict", "--page", "all")
    report = json.loads(_wordhold(db, "page", "accept", "--all-clear", "--also-alike", "--json"))
    assert report["lines"] == records
    lines = json.loads(_wordhold(db, "page", "lines", "--json"))["lines"]
    worked = [x for x in lines if x["state"] == "made"]
    assert len(worked) + len(report["left"]) == records
    assert len(report["left"]) <= records / 500, "more than 2 in 1000 were not read cleanly"
    assert "".join(x["text"] for x in lines).split() == text.read_text("utf-8").split(), "a word was lost"
    assert _entries(db) == len(report["made"]) >= len(worked)


def check_tbx_of(db: Path) -> None:
    """The termbase is exported as valid TBX with every entry; skipped if the published rules are missing."""
    if CHECKER.exists():
        tbx = db.with_suffix(".tbx")
        _wordhold(db, "export", "tbx", "--dialect", "basic-dca", "-o", str(tbx))
        _check(tbx, _entries(db))


def _entries(db: Path) -> int:
    with closing(sqlite3.connect(db)) as connection:
        return int(connection.execute("SELECT count(*) FROM entry").fetchone()[0])


def test_every_article_becomes_a_line_and_none_is_lost(
    freedict: Callable[[str], Path], tmp_path: Path
) -> None:
    db = tmp_path / "freedict.sqlite"
    import_whole(freedict("eng-gle"), db, "two lines, with sound", ("en", "ga"), 1_359)


def test_every_article_of_the_beginning_of_a_larger_one_does_too(
    freedict: Callable[[str], Path], tmp_path: Path
) -> None:
    """`tests/stress/whole_dictionary.py` imports all of it."""
    heading, last, articles = freedict("eng-cym").read_text("utf-8").partition(" ver. 0.2.3\n")
    beginning = heading + last + "".join(articles.splitlines(keepends=True)[: 2 * BEGINNING])
    text = tmp_path / "beginning.txt"
    text.write_text(beginning, "utf-8")
    text.with_suffix(".dict.dz").write_bytes(gzip.compress(beginning.encode()))
    db = tmp_path / "freedict.sqlite"
    import_whole(text, db, "two lines, labels in angle brackets", ("en", "cy"), BEGINNING)
    check_tbx_of(db)


def _check(file: Path, entries: int) -> None:
    """Validate the whole file with the published core grammar, its first entries also with the rules.

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
