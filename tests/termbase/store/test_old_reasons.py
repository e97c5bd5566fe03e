"""Reasons, problems and parts of a line that earlier versions stored as sentences read the same as codes."""

import json
import re
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import msgspec
import pytest
from hypothesis import given
from hypothesis import strategies as st
from sqlalchemy import select

from app.catalogues import voice_of
from exports.backup.tables import TablesZip
from termbase.codes.deeds import Covered, Reopened
from termbase.codes.lines import Aside, Expected, LinePart, Problem, Through, VerdictName
from termbase.codes.wording import CODES, statement_text
from termbase.fields.notes import Code, CodedText, own_words
from termbase.messages import Message, message
from termbase.record.entries import Entry, Redirect, Signature
from termbase.record.lines import ParsedLine, path_said
from termbase.record.pages import Line
from termbase.store import tables
from termbase.store.engine import Store
from termbase.store.oldtexts.reasons import aside_kept, part_kept, problem_kept, reopened_kept
from termbase.store.oldtexts.states import back, forward
from termbase.store.reading import Reader
from termbase.store.upgrading import upgrade

LANDED = Path(__file__).with_name("landed")
Words = dict[str, dict[str, dict[str, str]]]
BEFORE: Words = json.loads(LANDED.joinpath("words.json").read_text("utf-8"))
"""What every stored text said, by kind of text and language, before it became a code."""
MENDED: Words = json.loads(LANDED.joinpath("words-mended.json").read_text("utf-8"))
"""What reads differently now. A person's own words that look like ours are no longer translated; sentences
that stayed partly English, or were cut at the wrong word, are complete."""
REWORDED: dict[str, str] = json.loads(LANDED.joinpath("reworded-reasons.json").read_text("utf-8"))
"""Today's words for an English sentence of that version, if they have changed."""
OLD_WORDS = {today: then for then, today in REWORDED.items()}

PEOPLE = {"Elin Maesgwyn", "Ifor Cadwalch", "Ruth Ashbarrow", "Nia by mistake"}
RULES = {"Glanmorwen Fair rules (1868)", "Rules: of the fair", "Rules"}
TAGS = ("en", "cy", "ga")


def worded_then(text: str) -> str:
    """Return a message in the English of the version that stored sentences."""
    if not isinstance(text, Message):
        return text
    if text.parts:
        return text.between.join(map(worded_then, text.parts))
    template = text.many if text.many and text.values["n"] != 1 else text.template
    template = OLD_WORDS.get(template, template)
    values = {k: worded_then(v) if isinstance(v, str) else v for k, v in text.values.items()}
    return template % values if values else template


def shown(kind: str, text: str) -> str:
    """Return what is shown today for a text as it was stored."""
    match kind:
        case "reopened":
            return statement_text(msgspec.convert(reopened_kept(text, PEOPLE), CodedText))
        case "aside":
            return statement_text(msgspec.convert(aside_kept(text, RULES), CodedText))
        case "problem":
            return statement_text(msgspec.convert(problem_kept(text), CodedText))
        case "part":
            return path_said(tuple(part_kept(text)))
        case _:
            return message(text)


def in_every_language(text: str) -> dict[str, str]:
    return {tag: voice_of(tag).say(text) if tag != "en" else worded_then(text) for tag in TAGS}


# ---- the texts


@pytest.mark.parametrize(("kind", "text"), [(kind, text) for kind, texts in BEFORE.items() for text in texts])
def test_every_text_reads_as_before_in_every_language(kind: str, text: str) -> None:
    expected = BEFORE[kind][text] | MENDED.get(kind, {}).get(text, {})
    assert in_every_language(shown(kind, text)) == expected


def test_every_reworded_sentence_is_still_used() -> None:
    assert OLD_WORDS.keys() <= {code.one for code in CODES.values()}


def test_only_wrong_translations_have_changed() -> None:
    for kind, texts in MENDED.items():
        for text, words in texts.items():
            assert "en" not in words
            assert all(BEFORE[kind][text][tag] != now for tag, now in words.items())


PLAIN = st.text(st.characters(exclude_categories=["Cs", "Cc"], exclude_characters="“”:;/%"), max_size=12)
READING = {
    "what": st.sampled_from(list(Covered)).map(lambda code: code()),
    "entry": st.integers(1, 99_999).map(lambda n: f"c{n:04}"),
    "person": st.sampled_from(sorted(PEOPLE)),
}
PART = st.sampled_from(list(LinePart)).map(lambda code: code())


@st.composite
def of_code(draw: st.DrawFn, table: type[Code], known: dict[str, st.SearchStrategy[Any]]) -> CodedText:
    code = draw(st.sampled_from(list(table)))
    return code(**{name: draw(known.get(name, PLAIN)) for name in sorted(code.places)})


EXPECTED = PART | of_code(Expected, {"part": PART, "sign": st.sampled_from("[(–—;,/“")})
PROBLEMS = of_code(Problem, {"part": EXPECTED, "n": st.integers(0, 10**9)})
NAMES = st.sampled_from(["c0001 back-heel", "c0001 back-heel or c0002 hank"])
VERDICTS = st.sampled_from([v() for v in VerdictName if not v.places])
SOME = VERDICTS | st.builds(lambda a, b: VerdictName.SEVERAL(first=a, others=b), VERDICTS, VERDICTS)
RESEMBLING = st.builds(Through.RESEMBLES, entries=NAMES, why=PLAIN)
THROUGH = RESEMBLING | st.builds(Through.MADE, entries=NAMES) | st.builds(Through.ATTACHED, entries=NAMES)
RULE = st.sampled_from(sorted(RULES))
UNDER_A_CODE = (
    st.builds(Aside.BREAKS, code=RULE, why=PLAIN)
    | st.builds(Aside.BREAKS_THROUGH, code=RULE, through=RESEMBLING, why=PLAIN)
    | st.builds(Aside.OTHER_STYLE, label=PLAIN)
    | st.builds(Aside.OTHER_STYLE_BUT, label=PLAIN, code=RULE, verdict=SOME, through=THROUGH)
)
OF_SENSE = st.builds(Aside.OF_SENSE, number=st.sampled_from(["1", "2", "12", "b"]), why=UNDER_A_CODE)
USUAL = st.sampled_from([a() for a in Aside if not a.places]) | st.builds(Aside.NAMED_SPORT, sport=PLAIN)
IN_A_ROW = st.builds(lambda a, b: Aside.SEVERAL(first=a, others=b), OF_SENSE, OF_SENSE)


@given(of_code(Reopened, READING))
def test_a_reason_for_reopening_is_restored_as_code_and_values(why: CodedText) -> None:
    assert msgspec.convert(reopened_kept(worded_then(statement_text(why)), PEOPLE), CodedText) == why


@given(PROBLEMS)
def test_a_problem_is_restored_as_code_and_values(why: CodedText) -> None:
    assert msgspec.convert(problem_kept(worded_then(statement_text(why))), CodedText) == why


@given(USUAL | UNDER_A_CODE | OF_SENSE | IN_A_ROW)
def test_a_reason_is_restored_as_code_and_values(why: CodedText) -> None:
    assert msgspec.convert(aside_kept(worded_then(statement_text(why)), RULES), CodedText) == why


@given(st.text() | st.sampled_from(list(CODES.values())).map(lambda code: code.one))
def test_any_text_reads_the_same_letter_for_letter(text: str) -> None:
    for kind in ("reopened", "aside", "problem"):
        now = worded_then(shown(kind, text))
        typed = kind != "problem" and len(text) > 1 and text[0] == "“" and text[-1] == "”"
        assert now == (text[1:-1] if typed else text)


@given(st.text(), st.sampled_from(["reopened", "aside"]))
def test_a_persons_own_words_are_never_taken_for_ours(text: str, kind: str) -> None:
    read = reopened_kept(f"“{text}”", PEOPLE) if kind == "reopened" else aside_kept(f"“{text}”", RULES)
    assert msgspec.convert(read, CodedText) == own_words(text)


@pytest.mark.parametrize("text", ["by mistake", "by Nobody At All", "by  Elin Maesgwyn", "by Elin Maesgwyn "])
def test_a_name_counts_only_if_there_is_such_a_person(text: str) -> None:
    assert reopened_kept(text, PEOPLE) == {"text": text}
    assert reopened_kept("by Nia by mistake", PEOPLE) == {
        "code": "reading.reopened.by-hand", "with": {"person": "Nia by mistake"},
    }  # fmt: skip


WORD = st.sampled_from(["headword", "style", "part of speech", "gender", "number", "other spellings"])
SHAPE = st.sampled_from(["", "sense 1 ", "sense 12 equivalent 2 ", "sense 1 phrase 2 equivalent 10 "])


@given(SHAPE, WORD | st.just(""))
def test_a_part_of_a_line_is_named_as_before(shape: str, word: str) -> None:
    name = f"{shape}{word}".strip()
    path = part_kept(name)
    assert path_said(tuple(path)) == name
    assert all(re.fullmatch(r"[a-z_]+", step) for step in path if isinstance(step, str))


def test_a_part_of_a_line_is_a_path_of_fields_and_positions() -> None:
    assert part_kept("sense 1 equivalent 2 gender") == ["senses", 0, "equivalents", 1, "gender"]
    assert part_kept("part of speech") == ["part_of_speech"]


# ---- the records


def lines(reader: Reader) -> Iterator[dict[str, Any]]:
    yield from (msgspec.to_builtins(line) for line in reader.all(Line))


def states(reader: Reader, kind: str) -> Iterator[dict[str, Any]]:
    table = tables.change.c
    query = select(table.before, table.after).where(table.kind == kind)
    yield from (json.loads(state) for row in reader.connection.execute(query) for state in row if state)


def readings(entry: dict[str, Any]) -> Iterator[dict[str, Any]]:
    yield from (entry[name] for name in ("language_reading", "practice_reading") if entry.get(name))


def texts_of(reader: Reader) -> dict[str, set[str]]:
    """Return every text in the record, its history and merged entries, in the English of that version."""
    entries = [msgspec.to_builtins(entry) for entry in reader.all(Entry)]
    entries += states(reader, "entry")
    merged = [*(msgspec.to_builtins(r) for r in reader.all(Redirect)), *states(reader, "redirect")]
    entries += [redirect[name] for redirect in merged for name in ("entry", "beside", "made")]
    found: dict[str, set[str]] = {"reopened": set(), "aside": set(), "problem": set(), "part": set()}
    for entry in entries:
        for reading in readings(entry):
            found["reopened"].add(statement_text(msgspec.convert(reading.get("reopened") or {}, CodedText)))
    for line in (*lines(reader), *states(reader, "line")):
        found["aside"].add(statement_text(msgspec.convert(line.get("reason") or {}, CodedText)))
        for trouble in (line.get("parsed") or {}).get("troubles", ()):
            found["problem"].add(statement_text(msgspec.convert(trouble["why"], CodedText)))
        for printed in (line.get("parsed") or {}).get("printed", ()):
            found["part"].add(path_said(tuple(printed["part"])))
    return {kind: {worded_then(text) for text in texts} - {""} for kind, texts in found.items()}


ONLY_LATER = {
    "reopened": {"an accepted note changed after it was signed", "by Nobody At All",
                 "my mind changed after it was signed", "it was parted from its place"},
    "aside": {text for text in BEFORE["aside"] if "“box”; " in text} | {"“seen elsewhere”", "“illegible”"},
    "problem": {"There should be “[” here.", "“hob.” looks like an abbreviation that the tables do not have.",
                "“participle” is not in the list of parts of speech."},
    "part": {text for text in BEFORE["part"] if re.search(r"phrase \d", text)},
}  # fmt: skip
"""Texts that only versions after the landed one could write."""


def test_every_text_of_an_earlier_termbase_reads_as_before(landed: str, tmp_path: Path) -> None:
    upgrade(landed, TablesZip(), backup=tmp_path / "b.zip" if "://" in landed else None)
    store = Store.open(landed)
    with store.read() as reader:
        found = texts_of(reader)
    store.close()
    for kind, texts in found.items():
        expected = BEFORE[kind].keys() - ONLY_LATER[kind]
        assert texts == {text for text in expected if not text.startswith("“") or kind == "problem"}, kind


def test_no_program_text_is_left_as_a_persons_words(landed: str, tmp_path: Path) -> None:
    upgrade(landed, TablesZip(), backup=tmp_path / "b.zip" if "://" in landed else None)
    store = Store.open(landed)
    with store.read() as reader:
        typed = {line.reason.text for line in reader.all(Line)} - {""}
        troubles = [t.why for line in reader.all(Line) if line.parsed for t in line.parsed.troubles]
    store.close()
    assert typed == {
        "another style, by its label or so", "breaks the rules under nothing: no, really", "by mistake",
        "part of the body, no term of wrestling", "reopened (twice)", "repeats grasp",
    }  # fmt: skip
    assert troubles
    assert all(why.code for why in troubles)


def test_a_document_converts_back_unchanged() -> None:
    was = {
        "reason": f"breaks the rules under {sorted(RULES)[0]}: the hands may not leave their hold (F2)",
        "parsed": {
            "troubles": [{"column": 2, "why": "There should be “[” and then the gender here."}],
            "printed": [{"part": "sense 1 equivalent 2 part of speech", "text": "s.", "why": "abbreviation"}],
        },
    }
    now = json.loads(json.dumps(was))
    forward(PEOPLE, RULES).line(now)
    assert now != was
    assert msgspec.convert(now["parsed"], ParsedLine).troubles[0].why.code in CODES
    back().line(now)
    assert now == was
    entry = {"language_reading": {"by": "", "on": "", "reopened": "“by mistake”"}}
    forward(PEOPLE, RULES).entry(entry)
    assert msgspec.convert(entry["language_reading"], Signature) == Signature(
        reopened=own_words("by mistake")
    )
    back().entry(entry)
    assert entry["language_reading"]["reopened"] == "“by mistake”"
