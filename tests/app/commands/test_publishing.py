"""publish pdf, cards, site, epub, proof: selections, errors and messages."""

import re
import zipfile
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

Shell = Callable[..., Any]


def test_a_site_of_ready_entries_under_one_code(shell: Shell, tmp_path: Path) -> None:
    site = tmp_path / "site"
    ran = shell("publish", "site", "-o", str(site), "--ready-only", "--code", "r1", "--no-figures")
    assert ran.code == 0
    assert re.fullmatch(
        r"Proof: \d+ findings in the selection; wordhold publish proof lists them\.\n", ran.err
    )
    assert ran.out.startswith(f"Wrote {site}: 12 entries, ")
    page = (site / "entries/c0015.html").read_text("utf-8")
    assert "Glanmorwen Fair rules (1868)</a>: <b>" in page
    assert "Quarrymen's rules (1884)</a>: <b>" not in page.replace("&#39;", "'")
    assert "<svg" not in page


def test_a_folder_with_foreign_files_is_not_replaced(shell: Shell, tmp_path: Path) -> None:
    (tmp_path / "site").mkdir()
    (tmp_path / "site/thesis.txt").write_text("mine")
    ran = shell("publish", "site", "-o", str(tmp_path / "site"))
    assert ran.code == 2
    assert "thesis.txt" in ran.err
    assert [p.name for p in (tmp_path / "site").iterdir()] == ["thesis.txt"]


@pytest.mark.parametrize(
    ("option", "expected"),
    [(("--code", "nobody's rules"), "no rule code"), (("--vernacular", "ga"), "not a vernacular")],
)
@pytest.mark.parametrize("what", ["pdf", "cards", "epub"])
def test_a_selection_can_only_name_what_the_termbase_has(
    shell: Shell, tmp_path: Path, what: str, option: tuple[str, str], expected: str
) -> None:
    ran = shell("publish", what, "-o", str(tmp_path / "file"), *option)
    assert ran.code == 2
    assert expected in ran.err
    assert not (tmp_path / "file").exists()


def test_the_words_can_be_welsh_and_the_pictures_left_out(shell: Shell, tmp_path: Path) -> None:
    chosen = ("--ready-only", "--words", "cy")
    ran = shell("publish", "site", "-o", str(tmp_path / "site"), *chosen)
    assert ran.code == 0
    page = (tmp_path / "site/entries/c0008.html").read_text("utf-8")
    assert '<html lang="cy">' in page
    assert "O fewn y rheolau?" in page
    assert 'lang="en" xml:lang="en"' in page
    assert len(list((tmp_path / "site/assets/pictures").iterdir())) == 1
    assert shell("publish", "site", "-o", str(tmp_path / "site"), *chosen, "--no-pictures").code == 0
    assert "<img" not in (tmp_path / "site/entries/c0008.html").read_text("utf-8")
    assert not (tmp_path / "site/assets/pictures").exists()


def test_an_unsupported_interface_language_is_rejected(shell: Shell, tmp_path: Path) -> None:
    assert shell("publish", "epub", "-o", str(tmp_path / "book"), "--words", "fr").code == 2
    assert not (tmp_path / "book").exists()


def test_a_code_can_be_named(shell: Shell, tmp_path: Path) -> None:
    book = tmp_path / "book.epub"
    assert shell("publish", "epub", "-o", str(book), "--code", "Glanmorwen Fair rules (1868)").code == 0
    with zipfile.ZipFile(book) as archive:
        text = b"".join(archive.read(n) for n in archive.namelist() if n.endswith(".xhtml")).decode()
    assert "Glanmorwen Fair rules (1868)</a>: <b>" in text
    assert "Open-hold matches (1902)</a>: <b>" not in text


def test_publish_proof_checks_only_the_selection(shell: Shell) -> None:
    assert "readings not signed" in shell("publish", "proof").out
    ready = shell("publish", "proof", "--ready-only").out
    assert "readings not signed" not in ready
    assert "references to what is not printed" in ready


def test_cards_say_how_many_sheets_there_are(shell: Shell, tmp_path: Path) -> None:
    ran = shell("publish", "cards", "-o", str(tmp_path / "cards.pdf"), "--ready-only")
    assert ran.out == f"Wrote {tmp_path / 'cards.pdf'}: 10 cards, 0 marked as drafts, on 3 sheets.\n"


def test_a_book_is_narrowed_to_a_topic_and_a_verdict_and_says_so(shell: Shell, tmp_path: Path) -> None:
    site = tmp_path / "site"
    chosen = ("--topic", "throw", "--verdict", "breaks the rules", "--code", "r1")
    assert shell("publish", "site", "-o", str(site), *chosen).code == 0
    pages = [path.read_text("utf-8") for path in sorted((site / "entries").glob("c*.html"))]
    assert pages
    assert all("breaks the rules" in page for page in pages)
    assert "throw and breaks the rules under Glanmorwen Fair rules (1868)" in (
        site / "index.html"
    ).read_text("utf-8")  # fmt: skip
    everything = len(list((site / "entries").glob("c*.html")))
    assert shell("publish", "site", "-o", str(site), "--topic", "throw").code == 0
    assert len(list((site / "entries").glob("c*.html"))) > everything


@pytest.mark.parametrize(
    ("option", "expected"),
    [
        (("--source", "no such source"), "no such source"),
        (("--topic", "somersault"), "'somersault' is not one of"),
        (("--fonts", "no-such-folder"), "no-such-folder"),
    ],
)
def test_an_invalid_selection_is_reported(
    shell: Shell, tmp_path: Path, option: tuple[str, str], expected: str
) -> None:
    ran = shell("publish", "pdf", "-o", str(tmp_path / "file"), *option)
    assert ran.code == 2
    assert expected in ran.err
    assert not (tmp_path / "file").exists()


def test_one_part_can_be_printed_alone(shell: Shell, tmp_path: Path) -> None:
    both, one = tmp_path / "both.pdf", tmp_path / "one.pdf"
    assert shell("publish", "pdf", "-o", str(both), "--topic", "kick").code == 0
    ran = shell("publish", "pdf", "-o", str(one), "--topic", "kick", "--part", "reverse")
    assert ran.code == 0
    assert one.stat().st_size < both.stat().st_size
