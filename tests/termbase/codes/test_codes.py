"""Statements are stored as a code with values or as a person's own words; a code never changes."""

import ast
import json
from itertools import chain
from pathlib import Path

import msgspec
import pytest
from hypothesis import given
from hypothesis import strategies as st

from termbase.codes.deeds import Deed, LineDeed, undone
from termbase.codes.lines import LinePart, VerdictName
from termbase.codes.wording import CODES, TABLES, statement_text
from termbase.fields.notes import Code, CodedText, Value, own_words
from termbase.messages import Message, translate

FROZEN: dict[str, list[str]] = json.loads(Path(__file__).with_name("frozen.json").read_text("utf-8"))
"""Every code ever stored, with the names of its values: rows are added, never changed or removed."""

SIMPLE = st.text(max_size=20) | st.integers(-(10**6), 10**6)


class Marking:
    """Puts every sentence between marks, to show what was translated."""

    language = "en"

    def one(self, text: str, /) -> str:
        return f"<{text}>"

    def number(self, one: str, many: str, n: int, /) -> str:
        return f"<{one if n == 1 else many}>"


@st.composite
def built_in(draw: st.DrawFn, within: st.SearchStrategy[Value] = SIMPLE) -> CodedText:
    code = draw(st.sampled_from(list(CODES.values())))
    return code(**{n: draw(st.integers(0, 99) if n == "n" else within) for n in sorted(code.places)})


OURS = st.recursive(built_in(), lambda inner: built_in(SIMPLE | inner), max_leaves=4)
UNKNOWN = st.builds(
    CodedText,
    st.just("from.a.newer.version"),
    st.dictionaries(st.text(min_size=1, max_size=5), SIMPLE, max_size=3),
)


def test_no_code_is_missing_or_changed_and_new_ones_are_listed() -> None:
    assert {value: sorted(code.places) for value, code in CODES.items()} == FROZEN


def test_no_code_has_two_sentences() -> None:
    assert len(CODES) == sum(len(table) for table in TABLES)


@given(OURS | UNKNOWN | st.builds(own_words, st.text()))
def test_statements_survive_json_and_are_shown_without_an_error(said: CodedText) -> None:
    decoded = msgspec.json.decode(msgspec.json.encode(said), type=CodedText)
    assert decoded == said
    assert hash(decoded) == hash(said)
    assert statement_text(decoded) == statement_text(said)


@given(OURS)
def test_every_code_is_shown_with_all_its_values(said: CodedText) -> None:
    text = statement_text(said)
    assert isinstance(text, Message)
    assert all(
        str(value) in text
        for value in said.values.values()
        if not isinstance(value, CodedText) and value != 1
    )


@pytest.mark.parametrize("code", list(chain.from_iterable(TABLES)), ids=lambda code: code.value)
def test_a_missing_or_unknown_value_is_refused(code: Code) -> None:
    with pytest.raises(TypeError, match="has the values"):
        code(**dict.fromkeys([*code.places, "more"], "x"))
    for missing in code.places:
        with pytest.raises(TypeError, match="has the values"):
            code(**dict.fromkeys(code.places - {missing}, "x"))


def test_a_statement_is_stored_as_a_code_with_values_or_as_words() -> None:
    assert msgspec.json.encode(Deed.NOTES_CHANGED(id="c0012")) == (
        b'{"code":"entry.notes.changed","with":{"id":"c0012"}}'
    )
    assert msgspec.json.encode(own_words("by mistake")) == b'{"text":"by mistake"}'
    assert msgspec.json.encode(CodedText()) == b"{}"


def test_nested_statements_are_translated_too() -> None:
    statement = undone(LineDeed.ATTACHED(id="c0065"), 12)
    assert statement_text(statement) == "undid: attached to c0065"
    assert translate(statement_text(statement), Marking()) == "<undid: <attached to c0065>>"


def test_a_persons_own_words_are_never_mistaken_for_a_code() -> None:
    statement = own_words("undid: attached to c0065")
    assert translate(statement_text(statement), Marking()) == "undid: attached to c0065"


def test_a_number_chooses_the_sentence() -> None:
    assert statement_text(Deed.NUMBER_OF_TECHNIQUES_TAKEN_IN(n=1)) == "imported 1 technique"
    assert statement_text(Deed.NUMBER_OF_TECHNIQUES_TAKEN_IN(n=12)) == "imported 12 techniques"


def test_a_code_of_a_newer_version_is_shown_raw() -> None:
    statement = CodedText("entry.shape.changed", {"id": "c0012", "deed": Deed.TRIAL_CHANGED(id="m3"), "n": 2})
    assert statement_text(statement) == "entry.shape.changed (id: c0012, deed: changed trial m3, n: 2)"
    assert statement_text(CodedText("entry.shape.changed")) == "entry.shape.changed"


def test_a_known_code_without_its_values_is_shown_raw() -> None:
    assert (
        statement_text(CodedText("entry.notes.changed", {"of": "c0012"})) == "entry.notes.changed (of: c0012)"
    )
    assert (
        statement_text(CodedText("techniques.taken-in.number", {"n": "x"}))
        == "techniques.taken-in.number (n: x)"
    )


@pytest.mark.parametrize(
    "text",
    [
        '{"code": "x", "text": "y"}', '{"with": {"id": "c1"}}', '{"code": "x", "with": {"id": [1]}}',
        '{"code": 1}', '"made an entry"', "null", "{",
    ],
)  # fmt: skip
def test_anything_else_is_refused(text: str) -> None:
    with pytest.raises(msgspec.DecodeError):
        msgspec.json.decode(text, type=CodedText)


def test_a_long_chain_of_undone_acts_ends_in_a_number() -> None:
    statement = Deed.TRIAL_CHANGED(id="m3")
    for number in range(500):
        statement = undone(statement, number)
        assert msgspec.json.decode(msgspec.json.encode(statement), type=CodedText) == statement
    assert statement.depth <= 21


ROOT = Path(__file__).parents[3]
MODULES = sorted(
    path for package in ("app", "exports", "termbase") for path in (ROOT / package).rglob("*.py")
)
NAMES = {table.__name__: table for table in TABLES}


def codes_in(path: Path) -> list[tuple[ast.Attribute, ast.Call | None]]:
    """Yield every `Table.CODE` in a module, with its call if it is called."""
    nodes = list(ast.walk(ast.parse(path.read_text("utf-8"))))
    codes = [
        node
        for node in nodes
        if isinstance(node, ast.Attribute) and isinstance(node.value, ast.Name) and node.value.id in NAMES
    ]
    calls = {id(node.func): node for node in nodes if isinstance(node, ast.Call)}
    return [(node, calls.get(id(node))) for node in codes]


@pytest.mark.parametrize("path", MODULES, ids=lambda path: str(path.relative_to(ROOT)))
def test_every_use_of_a_code_has_all_its_values(path: Path) -> None:
    for node, call in codes_in(path):
        assert isinstance(node.value, ast.Name)
        code = NAMES[node.value.id][node.attr]
        if call is not None:
            assert {key.arg for key in call.keywords} == code.places, f"line {node.lineno}: {code}"
            assert not call.args, f"line {node.lineno}: {code}"


BY_NAME = (LinePart, VerdictName)
"""Tables used as a whole: by the name of a part in a layout, by the word of a verdict."""


def test_every_code_is_used_somewhere() -> None:
    used = {f"{ast.unparse(node)}" for path in MODULES for node, _call in codes_in(path)}
    demo = "".join(path.read_text("utf-8") for path in (ROOT / "termbase" / "demo").rglob("*.toml"))
    every = {
        f"{table.__name__}.{code.name}"
        for table in TABLES
        for code in table
        if table not in BY_NAME and f'"{code.value}"' not in demo
    }
    assert every - used == set()
