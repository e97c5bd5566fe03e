"""What an output reports as left out: counted in the record, labelled for readers, in every language."""

from dataclasses import fields
from typing import get_type_hints

import pytest

from app.catalogues import LANGUAGES, voice_of
from exports.field_labels import label_of
from exports.losses import BOOKKEEPING, CARRIED, LeftOut, loss_sentences, reason_for, reason_table
from exports.outputs import OUTPUTS, Output, object_named, reasons_named
from termbase.messages import Message
from termbase.record.entries import Analogue, Entry, Figure, Origin, Ruling, Term
from termbase.record.field_paths import paths_of
from termbase.record.foreign_notes import ForeignNote
from termbase.record.sources import Slip
from termbase.record.trials import Outcome, Trial
from termbase.technique.profile import Hand, Profile, Stated


def reports_losses(output: Output) -> bool:
    """Whether the report of an output has a field for what was left out, with numbers."""
    report = get_type_hints(object_named(output.write))["return"]
    return any(each.name == "left_out" for each in fields(report))


REPORTED = {
    column.heading: reasons_named(column.left_out)
    for output in OUTPUTS.values()
    if reports_losses(output)
    for column in output.columns
}
"""What is left out by each output whose report includes it."""
NOTE = ForeignNote(category="note", text="Often.", file="quay.tbx")
ENTRY = Entry(
    "c0001",
    terms=(Term("t1", "hank", "en", Origin.COINED, region="the vale", foreign_notes=(NOTE, NOTE)),),
    technique=Profile(right=Hand(places=Stated(("collar",), "slip", "q1"), work=Stated("pull"))),
    analogues=(Analogue("hank", "en", "another", "s1"), Analogue("hook", "en", "another")),
    figures=(Figure("p1", "A hank"),),
    rulings=(Ruling("r1", "fits", "Nia", "2026-01-01", "So it is."),),
)


def test_values_of_fields_parts_and_whole_records_are_counted() -> None:
    left_out = LeftOut(
        reason_table(
            ("no place", ("note.file", "analogue", "analogue.source_id", "said.ref", "trial", "slip.note")),
            (BOOKKEEPING, ("entry.id",)),
            (CARRIED, ("trial.outcome",)),
        )
    )
    slips = (Slip("q1", "s1", "a hank", note="faint"), Slip("q2", "s1", "a hank"))
    left_out.see(ENTRY, *slips, Trial("m1", "c0001", "2026", Outcome.WORKS))

    result = {loss.path: loss.number for loss in left_out.losses(label_of)}
    assert result == {"note.file": 2, "analogue": 2, "said.ref": 1, "trial": 1, "slip.note": 1}


def test_the_closest_path_decides_whether_a_field_is_left_out() -> None:
    table = reason_table(
        ("none of it", ("entry", "note")), (CARRIED, ("term.text", "term.foreign_notes.category"))
    )
    reasons = {str(path): reason_for(path, table) for path in paths_of(Entry)}

    assert reasons["entry.terms.text"] == CARRIED
    assert reasons["entry.terms.foreign_notes.category"] == CARRIED
    assert reasons["entry.foreign_notes.category"] == "none of it"
    assert reasons["entry.terms.region"] == "none of it"


def test_losses_are_grouped_by_reason() -> None:
    left_out = LeftOut(reason_table(("No cell.", ("analogue", "figure")), ("No place.", ("ruling.on",))))
    left_out.see(ENTRY)

    assert loss_sentences(left_out.losses(label_of)) == (
        "Left out: Analogue 2, Figure 1. No cell.",
        "Left out: Ruling on 1. No place.",
    )


@pytest.mark.parametrize("name", REPORTED)
@pytest.mark.parametrize("language", [tag for tag in LANGUAGES if tag != "en"])
def test_everything_a_report_can_mention_has_a_label_in_every_language(name: str, language: str) -> None:
    voice = voice_of(language)
    for path, why in REPORTED[name].items():
        if not why or why == BOOKKEEPING:
            continue
        label = label_of(path)
        assert isinstance(label, Message), path
        assert voice.say(label) != label or label in SAME, path
        assert voice.say(why) != why


SAME = frozenset({"Term", "Person", "Slip"})
"""Labels that are the same in Welsh."""
