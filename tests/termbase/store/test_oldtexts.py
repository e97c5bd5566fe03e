"""Sentences that earlier versions stored become codes with values, and read the same as before."""

import json
import re
from pathlib import Path

import msgspec
import pytest
from hypothesis import given
from hypothesis import strategies as st

from termbase.codes.deeds import Deed, LineDeed, ReadingName
from termbase.codes.wording import CODES, statement_text
from termbase.fields.notes import CodedText, own_words
from termbase.store.oldtexts.acts import act_kept

LANDED = Path(__file__).with_name("landed")
TEMPLATES: dict[str, list[str]] = json.loads((LANDED / "templates.json").read_text("utf-8"))
REWORDED: dict[str, str | list[str]] = json.loads((LANDED / "reworded.json").read_text("utf-8"))
LINE = "“belt” (Glanmorwen 1898, p. 12, line 3): "


def said(text: str) -> CodedText:
    return msgspec.convert(act_kept(text), CodedText)


def templates_by_sentence() -> dict[str, str]:
    """Today's sentence and the template it had in that version, for those that have been reworded."""
    pairs = {}
    for template, reworded in REWORDED.items():
        if isinstance(reworded, str):
            pairs[reworded] = template
        elif "%(number)s" in template:
            pairs[reworded[1]] = template.replace("%(number)s", "%(n)s")
        else:
            pairs[reworded[0]] = template
    return pairs


OLD_TEMPLATES = templates_by_sentence()


def worded_then(what: CodedText) -> str:
    """An act in the words of the version that kept sentences."""
    code = CODES.get(what.code)
    if code is None:
        return statement_text(what)
    sentence = code.many if code.many and what.values["n"] != 1 else code.one
    values = {k: worded_then(v) if isinstance(v, CodedText) else v for k, v in what.values.items()}
    return OLD_TEMPLATES.get(sentence, sentence) % values


@given(st.text())
def test_any_text_reads_the_same_after_conversion(text: str) -> None:
    assert worded_then(said(text)) == text


@given(st.sampled_from(TEMPLATES["acts"]), st.data())
def test_any_act_reads_the_same_after_conversion(template: str, data: st.DataObject) -> None:
    text = re.sub(r"%\(\w+\)s", lambda _: data.draw(st.text(max_size=8)), template)
    assert worded_then(said(text)) == text


@pytest.mark.parametrize("template", TEMPLATES["acts"])
def test_every_program_act_becomes_a_current_code(template: str) -> None:
    filled = {"date": "2025-01-02", "number": "12", "which": "language", "line_deed": "corrected"}
    text = re.sub(r"%\((\w+)\)s", lambda place: filled.get(place[1], "c0012"), template)
    found = said(text)
    assert found.code in CODES
    assert worded_then(found) == text


@pytest.mark.parametrize(
    ("text", "kept"),
    [
        ("changed the notes of c0012", Deed.NOTES_CHANGED(id="c0012")),
        ("parted slips of “hold”", Deed.SLIPS_PARTED(name="hold")),
        ("parted c0012", Deed.ENTRY_PARTED(id="c0012")),
        ("parted c0012 again", Deed.ENTRY_PARTED_AGAIN(id="c0012")),
        ("changed what the termbase says of itself", Deed.TERMBASE_CHANGED()),
        ("changed Nia Wyn", Deed.PERSON_CHANGED(name="Nia Wyn")),
        ("changed the slip q3", Deed.SOURCE_SLIP_CHANGED(id="q3")),
        ("changed the slip q3: hold: fast", Deed.SOURCE_SLIP_OF_NAME_CHANGED(id="q3", name="hold: fast")),
        ("removed entry c0012: see: c0013", Deed.ENTRY_REMOVED_FOR(id="c0012", reason="see: c0013")),
        ("read c0012 for practice", Deed.READING_SIGNED(id="c0012", which=ReadingName.PRACTICE())),
        ("entered page 12 of Songs of the hills", Deed.PAGE_ENTERED(number="12", label="Songs of the hills")),
        ("took in 1 technique", Deed.NUMBER_OF_TECHNIQUES_TAKEN_IN(n=1)),
        ("took in 12 techniques", Deed.NUMBER_OF_TECHNIQUES_TAKEN_IN(n=12)),
        ("took in our techniques", Deed.FILE_TAKEN_IN(file="our techniques")),
        ("took in rule codes from a.toml", Deed.RULE_CODES_TAKEN_IN(file="a.toml")),
        ("set aside", own_words("set aside")),  # nothing said so by itself
        (
            f"took back: {LINE}set aside (100 % sure)",
            Deed.ACT_TAKEN_BACK(
                deed=Deed.LINE_WORKED(
                    text="belt", source="Glanmorwen 1898", page="12", line="3",
                    line_deed=LineDeed.SET_ASIDE(reason="100 % sure"),
                )
            ),
        ),
        (
            "brought back c0012 as it was after 2025-01-02 (took back: what I did)",
            Deed.RECORD_BROUGHT_BACK(
                id="c0012", date="2025-01-02", deed=Deed.ACT_TAKEN_BACK(deed=own_words("what I did"))
            ),
        ),
    ],
)  # fmt: skip
def test_the_sentence_with_the_most_fixed_words_matches_a_text(text: str, kept: CodedText) -> None:
    assert said(text) == kept


def test_a_long_chain_of_undone_acts_can_be_read() -> None:
    text = "took back: " * 5000 + "corrected"
    assert worded_then(said(text)) == text
