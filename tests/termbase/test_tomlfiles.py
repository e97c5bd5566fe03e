"""TOML from outside: size and depth are limited before the parser sees it, in one place."""

import re
import tomllib
from pathlib import Path

import pytest
import tomli_w
from hypothesis import given
from hypothesis import strategies as st

import termbase
from termbase.errors import BadInput
from termbase.languages.checking import check_file
from termbase.rules.files import read_codes, read_profiles
from termbase.tomlfiles import (
    DEEPEST,
    LARGEST,
    LONGEST_WORD,
    MOST_MARKS,
    MOST_PARTS,
    NotToml,
    decode_toml,
    read_toml,
)
from termbase.wordlists.pattern_files import read_pattern
from tests.limited import printed_within

ROOT = Path(termbase.__file__).parents[1]
HOSTILE = {
    "a dotted key": (".".join("a" * 100_000) + " = 1", "too many parts"),
    "a dotted key in quotation marks": ('"a". ' * 100_000 + "a = 1", "too many parts"),
    "a dotted heading": ("[" + ".".join("a" * 100_000) + "]", "too many parts"),
    "deep lists": ("a = " + "[" * 100_000, "nested too deep"),
    "deep lists that end": ("a = " + "[" * 5000 + "]" * 5000, "nested too deep"),
    "deep tables": ("a = " + "{a = " * 100_000, "nested too deep"),
    "a long number": ("a = " + "1" * 100_000, "100,000 characters"),
    "a long fraction": ("a = 1." + "1" * 100_000, "100,000 characters"),
    "many tables": ("".join(f"[a{n}]\n" for n in range(MOST_MARKS + 1)), "250,000 brackets"),
    "a long file": ("# " + "x" * LARGEST, "larger than 8,388,608 bytes"),
}
hostile = pytest.mark.parametrize(("text", "said"), HOSTILE.values(), ids=HOSTILE)


@hostile
def test_exceeding_a_limit_is_rejected_with_the_line(text: str, said: str) -> None:
    with pytest.raises(NotToml, match=said) as refused:
        read_toml("# first\n" + text, "x.toml")
    assert refused.value.where.startswith("x.toml, line ")
    assert refused.value.fix


@hostile
def test_every_reader_of_toml_has_the_limits(text: str, said: str, tmp_path: Path) -> None:
    for read in (read_codes, read_profiles, read_pattern):
        with pytest.raises(BadInput, match=said):
            read(text, "x.toml")
    file = tmp_path / "xx.toml"
    file.write_text(text, "utf-8")
    assert [said in fault.what for fault in check_file(file)] == [True]


def test_no_other_module_parses_toml() -> None:
    """The limits hold only where the text goes through `read_toml`."""
    parses = re.compile(r"import tomllib|from tomllib|toml\.decode|import toml\b")
    found = [
        path.relative_to(ROOT).as_posix()
        for package in ("termbase", "exports", "app")
        for path in (ROOT / package).rglob("*.py")
        if parses.search(path.read_text("utf-8"))
    ]
    assert found == ["termbase/tomlfiles.py"]


def test_the_worst_file_within_the_limits_stays_within_half_a_gigabyte() -> None:
    code = (
        "from termbase.tomlfiles import MOST_MARKS, MOST_PARTS, read_toml\n"
        "dots = MOST_PARTS - 1\n"
        "keys = (f'k{n}' + ''.join(f'.p{p}' for p in range(dots)) for n in range(MOST_MARKS // dots))\n"
        "print(len(read_toml(''.join(f'{key} = 1\\n' for key in keys), 'x')))\n"
    )
    assert printed_within(1 << 29, code) == str(MOST_MARKS // (MOST_PARTS - 1))


def test_what_is_just_within_the_limits_is_read() -> None:
    key = ".".join("a" * MOST_PARTS)
    assert read_toml(f"{key} = 1", "x") == tomllib.loads(f"{key} = 1")
    deep = "[" * DEEPEST + "]" * DEEPEST
    assert read_toml(f"a = {deep}", "x") == tomllib.loads(f"a = {deep}")
    number = "1" * LONGEST_WORD
    assert read_toml(f"a = {number}", "x") == {"a": int(number)}


def test_limits_ignore_strings_and_comments() -> None:
    text = "\n".join(
        (
            "# " + "[.{" * 5000,
            'a = "' + "[.{" * 5000 + '"',
            "b = '" + "[.{\\" * 5000 + "'",
            'c = """' + '[.{"" \\" ' * 5000 + '"""""',
            "d = '''" + "[.{'' \\" * 5000 + "'''''",
            'e = "' + "1" * 5000 + '"',
        )
    )
    assert read_toml(text, "x") == tomllib.loads(text)


@pytest.mark.parametrize(
    ("text", "line", "what"),
    [
        ("a = 1\nb = ", 2, "invalid value"),
        ('a = 1\n\nb = "open', 3, "unterminated string"),
        ("a = 1\n[a]\n", 2, "cannot overwrite a value"),
        ("a = 2024-02-30\n", 1, "invalid date or datetime"),
        ("a = 1\na = 2", 2, "cannot overwrite"),
    ],
)
def test_a_mistake_is_reported_with_its_line(text: str, line: int, what: str) -> None:
    with pytest.raises(NotToml) as refused:
        read_toml(text, "x.toml")
    assert refused.value.line == line
    assert refused.value.where.startswith(f"x.toml, line {line}")
    assert f"This is not TOML: {what}" in refused.value.what


@pytest.mark.parametrize(
    ("content", "said"),
    [(b"", "is empty"), (b"a = '\xff'", "is not UTF-8"), (b"\xff\xfea\x00", "UTF-16"), (b"\x00", "NUL")],
)
def test_bytes_that_are_not_text_are_rejected(content: bytes, said: str) -> None:
    with pytest.raises(BadInput, match=said):
        decode_toml(content, "x.toml")


_values = st.recursive(
    st.text() | st.integers(-(10**30), 10**30) | st.booleans() | st.floats(allow_nan=False)
    | st.datetimes() | st.dates() | st.times(),
    lambda inner: st.lists(inner, max_size=4) | st.dictionaries(st.text(), inner, max_size=4),
    max_leaves=12,
)  # fmt: skip


@given(st.dictionaries(st.text(), _values, max_size=5), st.booleans())
def test_what_is_written_as_toml_is_read_as_the_standard_library_reads_it(
    table: dict[str, object], several_lines: bool
) -> None:
    text = tomli_w.dumps(table, multiline_strings=several_lines)
    assert read_toml(text, "x") == tomllib.loads(text)


_pieces = st.sampled_from(
    ["a", "b.c", '"x.y"', "'[['", " = ", "1", "1.5", "[", "]", "{", "}", "[[", "]]", ",", "\n", "\r\n",
     '"', "'", '"""', "'''", "\\", '\\"', "# [.", "é", "\t", " ", "true", "07:32:00.5", "-inf", "\r", "\x0b"]
)  # fmt: skip


@given(st.lists(_pieces, max_size=14).map("".join) | st.text(max_size=30))
def test_any_text_is_read_as_the_standard_library_reads_it_or_refused(text: str) -> None:
    try:
        wanted = tomllib.loads(text)
    except tomllib.TOMLDecodeError:
        with pytest.raises(NotToml):
            read_toml(text, "x")
    else:
        assert read_toml(text, "x") == wanted
