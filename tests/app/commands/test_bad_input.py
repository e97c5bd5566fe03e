"""Every bad input ends with status 2, one clear message on standard error, and nothing changed."""

import socket
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

import pytest

from termbase.record.people import Termbase
from termbase.store.engine import Store

Shell = Callable[..., Any]

WALL = (
    b"%PDF-1.4\n1 0 obj<</Type/Catalog/Pages 2 0 R>>endobj 2 0 obj<</Type/Pages/Kids[3 0 R]/Count 1>>endobj "
    b"3 0 obj<</Type/Page/Parent 2 0 R/MediaBox[0 0 25000 25000]>>endobj trailer<</Root 1 0 R>>"
)
"""A PDF with a page of nine metres by nine."""
PNG = b"\x89PNG\r\n\x1a\nnot really"
ADD = ("source", "add", "Almanac", "--title", "An Almanac")
PAGE = ("page", "add", "{tmp}/page.txt", "--source", "Glanmorwen 1898", "--page", "44")
NEW = ("new", "--db", "{tmp}/new.sqlite", "--title", "Words", "--vernacular", "cy")


def message(ran: Any) -> str:
    """Return the message of a rejected command, which must be its only output."""
    assert ran.code == 2
    assert ran.out == ""
    assert "Traceback" not in ran.err
    messages = [
        line for line in ran.err.splitlines() if line and not line.startswith(("Usage:", "Try ", "Proof: "))
    ]
    assert 1 <= len(messages) <= 2
    assert messages[0].startswith(("wordhold: ", "Error: "))
    return " ".join(messages)


@pytest.fixture
def untouched(shell: Shell) -> Iterator[Shell]:
    """A shell on the demo; the test fails if the command changes anything in it."""
    before = acts(shell)
    yield shell
    assert acts(shell) == before


def acts(shell: Any) -> int:
    store = Store.open(str(shell.db))
    with store.read() as reader:
        number = reader.last_acts(1)[0].id
    store.close()
    return number


@pytest.mark.parametrize(
    ("arguments", "files", "expected"),
    [
        ((*ADD, "--issued", "about 1898"), {}, "is not a valid date"),
        ((*ADD, "--language", "welsh!"), {}, "not a language tag"),
        (("source", "add", "Lantern", "--title", "Another"), {}, "already has the label"),
        (("source", "add", " ", "--title", "Nameless"), {}, "label: This field is required."),
        ((*ADD, "--title", " "), {}, "title: This field is required."),
        ((*ADD, "--kind", "scroll"), {}, "--kind"),
        ((*ADD, "--as", " "), {}, "the name must not be empty"),
        ((*ADD, "--pattern", "no such"), {}, "no stock pattern"),
        ((*ADD, "--pattern", "{tmp}/p.toml"), {"p.toml": b"fields = ["}, "p.toml, line 1"),
        ((*ADD, "--pattern", "{tmp}/p.toml"), {"p.toml": b"\xff\xfe"}, "not UTF-8"),
        (("source", "add", "Almanac"), {}, "--title"),
        (("source", "remove", "Lantern"), {}, "25 slips"),
        (("source", "remove", "s99"), {}, "There is no source"),
        (("source", "patterns", "nothing"), {}, "There is no stock pattern"),
        (PAGE, {"page.txt": b""}, "0 bytes"),
        (PAGE, {"page.txt": b"caf\xe9"}, "UTF-8"),
        (PAGE, {"page.txt": "ŵyr".encode("utf-16")}, "UTF-16"),
        (PAGE, {"page.txt": b"PK\x03\x04\x00"}, "NUL"),
        (PAGE, {"page.txt": b"\x1f\x8bbroken"}, "gzip"),
        (PAGE, {}, "does not exist"),
        ((*PAGE, "--source", "Nobody's"), {"page.txt": b"a"}, "no source"),
        ((*PAGE, "--source", "Lantern"), {"page.txt": b"a"}, "pattern"),
        ((*PAGE, "--page", "41"), {"page.txt": b"a"}, "41"),
        ((*PAGE, "--image", "{tmp}/i.png"), {"page.txt": b"a", "i.png": b""}, "0 bytes"),
        ((*PAGE, "--image", "{tmp}/i.png"), {"page.txt": b"a", "i.png": b"words"}, "not a readable picture"),
        ((*PAGE, "--image", "{tmp}/i.png"), {"page.txt": b"a", "i.png": PNG}, "not a readable picture"),
        ((*PAGE, "--image", "{tmp}/i.pdf"), {"page.txt": b"a", "i.pdf": b"%PDF-1.4 cut"}, "cannot be read"),
        ((*PAGE, "--image", "{tmp}/i.pdf"), {"page.txt": b"a", "i.pdf": WALL}, "8,819 by 8,819 mm"),
        ((*PAGE, "--encoding", "latin-9"), {"page.txt": b"a"}, "--encoding"),
        (("page", "lines", "w99"), {}, "There is no page"),
        (("page", "accept", "w99", "--all-clear"), {}, "There is no page"),
        (("page", "accept"), {}, "--all-clear"),
        (("find", "heel", "--language", "welsh!"), {}, "not a language tag"),
        (("find", "heel", "--limit", "0"), {}, "--limit"),
        (("show", "c9999"), {}, "There is no entry 'c9999'"),
        (("judge", "c9999"), {}, "There is no entry 'c9999'"),
        (("judge", "--code", "nobody's"), {}, "rule code"),
        (("export", "tbx", "--dialect", "max", "-o", "{tmp}/x.tbx"), {}, "--dialect"),
        (("export", "tbx", "-o", "{tmp}/page.txt/x.tbx"), {"page.txt": b"x"}, "Not a directory"),
        (("export", "tbx", "-o", "{tmp}"), {}, "is a directory"),
        (("export", "tbx"), {}, "--output"),
        (("publish", "pdf", "--paper", "a3", "-o", "{tmp}/x.pdf"), {}, "--paper"),
        (("publish", "pdf", "-o", "{tmp}/page.txt/x.pdf"), {"page.txt": b"a"}, "page.txt"),
        (("undo", "9999"), {}, "There is no change 9999"),
        (("undo", "first"), {}, "not a valid integer"),
        (("rules", "import", "{tmp}/r.toml"), {"r.toml": b"\xff"}, "UTF-8"),
        (("profiles", "import", "{tmp}/r.toml"), {"r.toml": b"x = ["}, "TOML"),
        (("languages", "forms", "welsh!", "fachiad"), {}, "not a language tag"),
        (("languages", "forms", "cy", "fachiad", "--words", "{tmp}/w"), {"w": b"\xff"}, "not UTF-8"),
        (("languages", "forms", "cy", "fachiad", "--words", "{tmp}/w"), {}, "does not exist"),
        (("languages", "sort", "welsh!"), {}, "not a language tag"),
        (("languages", "sort", "cy", "--order", "backwards"), {}, "backwards"),
        (("languages", "check", "{tmp}/l.toml"), {}, "does not exist"),
        (("nonsense",), {}, "No such command"),
    ],
)  # fmt: skip
def test_bad_input_gives_a_clear_message(
    untouched: Shell, tmp_path: Path, arguments: tuple[str, ...], files: dict[str, bytes], expected: str
) -> None:
    for name, content in files.items():
        (tmp_path / name).write_bytes(content)

    assert expected in message(untouched(*(word.replace("{tmp}", str(tmp_path)) for word in arguments)))


@pytest.mark.parametrize(
    "arguments",
    [
        ("serve",), ("upgrade",), ("undo",), ADD, ("source", "list"), ("source", "remove", "s1"),
        ("page", "lines"), ("page", "accept", "--all-clear"), ("find", "heel"), ("show", "c0001"), ("judge",),
        ("proof",), ("export", "tbx", "-o", "x.tbx"), ("publish", "pdf", "-o", "x.pdf"), ("rules", "export"),
        ("profiles", "export"),
    ],
)  # fmt: skip
@pytest.mark.parametrize(
    ("content", "expected"),
    [
        (None, "There is no termbase here."),
        (b"", "This is not a termbase."),
        (b"words " * 400, "The file is not a database"),
    ],
)
def test_a_file_that_is_not_a_termbase_is_reported_and_left_unchanged(
    bare: Any, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, arguments: tuple[str, ...],
    content: bytes | None, expected: str,
) -> None:  # fmt: skip
    monkeypatch.chdir(tmp_path)
    if content is not None:
        bare.db.write_bytes(content)

    assert expected in message(bare(*arguments))
    assert (bare.db.read_bytes() if bare.db.exists() else None) == content
    assert {path.name for path in tmp_path.iterdir()} <= {bare.db.name}


@pytest.mark.parametrize("address", ["mysql://localhost/words", "postgresql://", "nonsense://x"])
def test_an_unreachable_database_is_reported(bare: Shell, address: str) -> None:
    assert message(bare("source", "list", "--db", address))


@pytest.mark.parametrize(
    ("more", "expected"),
    [
        (("--title", " "), "title: This field is required."),
        (("--language", "english!"), "not a language tag"),
        (("--vernacular", "w!"), "not a language tag"),
        (("--vernacular", "en"), "listed as a vernacular"),
    ],
)
def test_an_invalid_termbase_is_not_created(
    bare: Shell, tmp_path: Path, more: tuple[str, ...], expected: str
) -> None:
    arguments = (word.replace("{tmp}", str(tmp_path)) for word in (*NEW, *more))

    assert expected in message(bare(*arguments))
    assert list(tmp_path.iterdir()) == []


def test_new_never_overwrites_a_file(bare: Shell, tmp_path: Path) -> None:
    (tmp_path / "new.sqlite").write_text("mine", "utf-8")

    assert "This file already exists." in message(bare(*(w.replace("{tmp}", str(tmp_path)) for w in NEW)))
    assert (tmp_path / "new.sqlite").read_text("utf-8") == "mine"


def test_undo_is_rejected_if_the_record_has_changed_since(shell: Any) -> None:
    with Store.open(str(shell.db)).read() as reader:
        filling = reader.last_acts(50)[-2].id

    before = acts(shell)
    assert message(shell("undo", str(filling)))
    assert acts(shell) == before


def test_a_port_in_use_is_reported(shell: Shell) -> None:
    with socket.socket() as listener:
        listener.bind(("127.0.0.1", 0))
        listener.listen()

        assert "in use" in message(shell("serve", "--port", str(listener.getsockname()[1])))


def test_sort_rejects_input_that_is_not_utf_8(bare: Shell) -> None:
    assert "not UTF-8" in message(bare("languages", "sort", "cy", stdin=b"caf\xe9\n"))


def test_an_invalid_source_date_epoch_is_reported(
    shell: Shell, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("SOURCE_DATE_EPOCH", "yesterday")

    assert "SOURCE_DATE_EPOCH" in message(shell("publish", "pdf", "-o", str(tmp_path / "x.pdf")))


def test_the_demo_never_replaces_another_termbase(bare: Shell, tmp_path: Path) -> None:
    folder = tmp_path / "there"
    folder.mkdir()
    Store.create(str(folder / "demo.sqlite"), Termbase("Mine", vernaculars=("cy",)), by="x").close()

    assert "This termbase is not the demo." in message(bare("demo", "--no-serve", "--dir", str(folder)))


def test_undo_on_a_fresh_termbase_is_rejected(bare: Any) -> None:
    assert bare("new", "--title", "Ours", "--vernacular", "cy").code == 0
    output = message(bare("undo"))
    assert "undid change 1" in output
    assert "cannot be opened" in output
    assert bare("backup", str(bare.db.with_suffix(".zip"))).code == 0
