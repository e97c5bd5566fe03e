from pathlib import Path

import pytest

from termbase.errors import BadInput
from termbase.languages import alphabets, checking, files, keys, mutations

FOLDER = Path(files.__file__).parent
GOOD = """format = 1
tag = "zz"
name = "Example"
vowels = "aeiou"
misreadings = [["rn", "m"]]
palette = ["ä", "ö"]

[alphabet]
letters = "a b c d e f g h i j k l m n o p q r s t u v w x y z"

[irregular]
go = ["went"]

[[mutations]]
name = "soft"
rules = [
  "b > v",
  "s > sh / s[Vlnr]",
]

[[spellings]]
id = "S1"
rule = "sg > sc"
replace = [['sg', 'sc']]
examples = ["sgeul > sceul"]
"""


@pytest.mark.parametrize("name", [*files.shipped_tags(), "default"])
def test_a_shipped_file_has_no_fault(name: str) -> None:
    assert checking.check_file(FOLDER / f"{name}.toml") == ()


def test_every_key_of_the_format_is_documented() -> None:
    text = (FOLDER / "README.md").read_text(encoding="utf-8")
    for struct in (files.LanguageFile, files.Order, files.Mutation, files.Respelling, files.Inflection):
        for name in struct.__struct_encode_fields__:
            assert name in text


@pytest.mark.parametrize(
    ("tag", "file"),
    [("cy", "cy"), ("cy-GB", "cy"), ("ga-Latg-IE", "ga"), ("fr", "und"), ("xx", "und"), ("x-a", "und")],
)
def test_a_tag_uses_the_file_of_the_nearest_shorter_one(tag: str, file: str) -> None:
    assert files.language(tag).tag == file


def test_the_six_languages_and_english_are_shipped_with_palette_and_labels() -> None:
    assert {"br", "cy", "en", "ga", "gd", "gv", "kw"} <= set(files.shipped_tags())
    for tag in files.shipped_tags():
        file = files.language(tag)
        assert file.palette
        assert "plural" in [inflection.label for inflection in file.inflections]
        assert file.sources


def test_a_sound_file_has_no_fault(tmp_path: Path) -> None:
    path = tmp_path / "zz.toml"
    path.write_text(GOOD, encoding="utf-8")
    assert checking.check_file(path) == ()


MISTAKES = [
    ("format = 1", "format = 2", "format is 2", 0),
    ('tag = "zz"', 'tag = "z z"', "no language tag", 0),
    ('name = "Example"\n', "", "name is missing", -2),
    ('name = "Example"', "name = 3", "Expected `str`", 0),
    ('vowels = "aeiou"', 'vowls = "aeiou"', "no key vowls", 0),
    ('["rn", "m"]', '["", "m"]', "misreading is empty", 0),
    ('["rn", "m"]', '["rn"]', "length 2", 0),
    ('["ä", "ö"]', '["ä", "ä"]', "twice", 0),
    ('["ä", "ö"]', '["a\u0308", "ö"]', "stored as separate characters", 0),
    ("a b c", "a b a c", "letter a stands in the order twice", 0),
    ("a b c", "A b c", "capital", 0),
    ("a b c", "b c", "lacks a", 0),
    ('go = ["went"]', "go = []", "no forms", 0),
    ('go = ["went"]', 'go = ["went", "go"]', "the form go twice", 0),
    ('"b > v"', '"b v"', "not of the form", 0),
    ('"b > v"', '"b > b"', "changes nothing", 0),
    ('"b > v"', '"B > v"', "capitals", 0),
    ('"b > v"', '"V > h"', "both sides", 0),
    ('"b > v",', '"b > v", "b > v",', "stands twice", 0),
    ("s[Vlnr]", "s[Vlnr", "regular expression", 0),
    ("s[Vlnr]", "t[Vlnr]", "never begins with s", 0),
    ('name = "soft"', 'name = "soft"\nstatus = "odd"', "Invalid enum value", 1),
    ('name = "soft"', 'name = "soft"\nnative_name = "x"', "unknown field", 1),
    ("['sg', 'sc']", "['s(g', 'sc']", "cannot be used", 0),
    ("['sg', 'sc']", "['sg', '\\2']", "cannot be used", 0),
    ('"sgeul > sceul"', '"sgeul > skeul"', "do not bring", 0),
    ('"sgeul > sceul"', '"sgeul, sceul"', "has no “ > ”", 0),
    ("[irregular]", "[irregular", "not TOML", 0),
]


@pytest.mark.parametrize(
    ("sound", "wrong", "what", "below"), MISTAKES, ids=[f"{m[2]}: {m[1]!r}" for m in MISTAKES]
)
def test_a_mistake_is_named_with_its_line(
    tmp_path: Path, sound: str, wrong: str, what: str, below: int
) -> None:
    path = tmp_path / "zz.toml"
    path.write_text(GOOD.replace(sound, wrong, 1), encoding="utf-8")
    found = [fault for fault in checking.check_file(path) if what in fault.what]
    line = GOOD[: GOOD.index(sound)].count("\n") + 1
    assert [fault.line for fault in found] == [line + below]
    assert found[0].fix


def test_all_mistakes_are_named_at_once(tmp_path: Path) -> None:
    path = tmp_path / "zz.toml"
    path.write_text(
        GOOD.replace('"b > v"', '"b v"').replace("a b c", "a a b c").replace("'sc'", "'\\3'"),
        encoding="utf-8",
    )
    assert len(checking.check_file(path)) == 3


def test_a_file_that_is_not_utf_8_is_named_with_its_line(tmp_path: Path) -> None:
    path = tmp_path / "zz.toml"
    path.write_bytes(b'format = 1\nname = "\xe9"\n')
    (fault,) = checking.check_file(path)
    assert (fault.line, "UTF-8" in fault.what) == (2, True)


def test_an_added_file_is_used_at_once(tmp_path: Path) -> None:
    path = tmp_path / "qaa.toml"
    path.write_text(GOOD.replace('"zz"', '"qaa"').replace("a b c", "c b a"), encoding="utf-8")
    assert alphabets.sections("qaa")[:3] == ("A", "B", "C")
    files.add_file(path)
    assert alphabets.sections("qaa-GB")[:3] == ("C", "B", "A")
    assert [candidate.text for candidate in mutations.unmutated_forms("vel", "qaa")] == ["vel", "bel"]
    assert keys.KeyKind.OLD in {key.kind for key in keys.find_keys("sgeul", "qaa")}


def test_rules_that_refer_to_their_own_groups_are_used_as_they_are(tmp_path: Path) -> None:
    path = tmp_path / "qab.toml"
    doubled = GOOD.replace('"zz"', '"qab"').replace("['sg', 'sc']", "['(.)\\1', '\\1']")
    path.write_text(doubled.replace("sgeul > sceul", "canna > cana"), encoding="utf-8")
    assert checking.check_file(path) == ()
    files.add_file(path)
    assert keys.Key(keys.KeyKind.OLD, "cana") in keys.find_keys("canna", "qab")


@pytest.mark.parametrize("text", ["format = 2", "format = [", GOOD.replace("format = 1", "format = 9")])
def test_a_file_that_cannot_be_used_is_refused_by_name(tmp_path: Path, text: str) -> None:
    path = tmp_path / "bad.toml"
    path.write_text(text, encoding="utf-8")
    with pytest.raises(BadInput) as caught:
        files.add_file(path)
    assert caught.value.where.startswith(str(path))
    assert caught.value.fix
