"""The check of a file: one error each in a valid file, found by us and by the published rules."""

import importlib.util
import re
from pathlib import Path

import pytest

from exports.tbx.validating import NotValid, check_file
from exports.tbx.xmltext import NameSet

HERE = Path(__file__).parent
TOOL = HERE.parents[3] / "shared" / "tools" / "tbx_check.py"

FAULTS = [
    ("not well-formed", r"</body>", ""),
    ("entry without id", r'<conceptEntry id="c0002">', "<conceptEntry>"),
    ("id that is no name", r'id="t5"', 'id="5t"'),
    ("id used twice", r'id="t5"', 'id="t3"'),
    ("target that is nothing", r'target="c0002"', 'target="c0009"'),
    ("part of speech out of the list", r">noun<", ">Noun<"),
    ("status as the record words it", r"preferredTerm-admn-sts", "preferred"),
    ("term type out of the list", r">fullForm<", ">full form<"),
    ("kind of transaction out of the list", r">origination<", ">creation<"),
    ("unknown category", r'type="geographicalUsage"', 'type="region"'),
    ("category at the wrong level", r'<descrip type="subjectField">trip', '<descrip type="context">trip'),
    ("uncertain date", r"<date>2026-01-01<", "<date>2026~<"),
    ("language that is no tag", r'<langSec xml:lang="en">', '<langSec xml:lang="old tongue">'),
    ("term before its section", r"<term>trip</term>", ""),
    ("term note behind a note", r"<term>trip</term>", "<term>trip</term><note>a</note><termNote/>"),
    ("section without a term", r'<termSec id="t5">.*?</termSec>', ""),
    ("element that does not exist", r"<term>trip</term>", "<term>trip</term><gloss>a</gloss>"),
    ("stray element among the entries", r"<body>", "<body><note>a</note>"),
    ("stray element behind the entries", r"</body>", "<note>a</note></body>"),
    ("no entries in the body", r"<body>.*</body>", "<body></body>"),
    ("body behind back", r"(<body>.*</body>)(.*)(</text>)", r"\2\1\3"),
    ("header without its source", r"<sourceDesc>.*</sourceDesc>", ""),
    ("title before publication", r"(<publicationStmt>.*</publicationStmt>)(.*</titleStmt>)", r"\2\1"),
    ("another dialect", r'type="TBX-Basic"', 'type="TBX-Other"'),
    ("another style", r'style="dca"', 'style="dct"'),
    ("address of another kind", r"https://vale.example/hook.png", "ftp://vale.example/hook.png"),
    ("object without items", r'<refObject id="p2">.*?</refObject>', '<refObject id="p2"/>'),
    ("back matter without type", r'<refObjectSec type="bibl">', "<refObjectSec>"),
]
OURS_ONLY = {"another dialect", "kind of transaction out of the list", "address of another kind"}
"""What the published rules allow: they check nothing in another dialect, and in a Schematron pattern the
first rule that matches an element hides the later one that reports this."""


@pytest.fixture(scope="module")
def good() -> str:
    return (HERE / "full.basic-dca.xml").read_text(encoding="utf-8")


def broken(good: str, pattern: str, replacement: str) -> str:
    text, number = re.subn(pattern, replacement, good, count=1, flags=re.DOTALL)
    assert number == 1
    return text


@pytest.mark.parametrize("style", ["dca", "dct"])
def test_a_good_file_is_valid(style: str) -> None:
    assert check_file(HERE / f"full.basic-{style}.xml", style) is None  # type: ignore[arg-type]


@pytest.mark.parametrize(("fault", "pattern", "replacement"), FAULTS, ids=[f[0] for f in FAULTS])
def test_every_error_is_found(good: str, tmp_path: Path, fault: str, pattern: str, replacement: str) -> None:
    path = tmp_path / "broken.tbx"
    path.write_text(broken(good, pattern, replacement), encoding="utf-8")
    with pytest.raises(NotValid) as caught:
        check_file(path, "dca")
    assert caught.value.what
    assert caught.value.where.startswith("line ") or "target" in caught.value.what


@pytest.mark.parametrize(("fault", "pattern", "replacement"), FAULTS, ids=[f[0] for f in FAULTS])
def test_the_published_rules_find_the_error_too(
    good: str, tmp_path: Path, fault: str, pattern: str, replacement: str
) -> None:
    if not TOOL.exists() or fault in OURS_ONLY:
        pytest.skip("the published rules are not on this machine, or let this pass")
    spec = importlib.util.spec_from_file_location("tbx_check", TOOL)
    assert spec
    assert spec.loader
    published = importlib.util.module_from_spec(spec)
    spec.loader.exec_module(published)
    path = tmp_path / "broken.tbx"
    path.write_text(broken(good, pattern, replacement), encoding="utf-8")
    assert published.main([str(path)]) != 0


def test_entities_are_never_expanded(good: str, tmp_path: Path) -> None:
    secret = tmp_path / "secret.txt"
    secret.write_text("SECRET", encoding="utf-8")
    doctype = f'<!DOCTYPE tbx [<!ENTITY e SYSTEM "{secret.as_uri()}">]>\n<tbx '
    path = tmp_path / "entity.tbx"
    path.write_text(good.replace("<tbx ", doctype, 1).replace(">noun<", ">&e;<"), encoding="utf-8")
    with pytest.raises(NotValid) as caught:
        check_file(path, "dca")
    assert "SECRET" not in str(caught.value)


def test_a_name_set_distinguishes_all_names() -> None:
    names = NameSet()
    given = [
        "c1",
        "c01",
        "c0001",
        "c10",
        "t1",
        "c",
        "",
        "entry.c1",
        "c12345678",
        "c99999999",
        "c٣",
        "c8",
        "c7",
    ]
    assert [names.add(n) for n in given] == [True] * len(given)
    assert [names.add(n) for n in given] == [False] * len(given)
    other = NameSet()
    for name in ("c01", "t1", "entry.c1"):
        other.add(name)
    assert sorted(names.without(other)) == sorted(set(given) - {"c01", "t1", "entry.c1"})
    assert list(other.without(names)) == []
