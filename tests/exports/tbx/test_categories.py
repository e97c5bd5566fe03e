"""The table of data categories, compared with the records and the published modules."""

from dataclasses import fields
from pathlib import Path

import pytest
from lxml import etree

from exports.tbx.categories import CATEGORIES, NAMESPACES, OTHER, Module
from exports.tbx.tags import FIELDS, Fate
from termbase.fields.declarations import field_of
from termbase.record.entries import Analogue, Definition, Entry, Figure, Redirect, Relation, Ruling, Term
from termbase.record.foreign_notes import ForeignNote
from termbase.record.pages import Line, Page
from termbase.record.people import Image, Person, Termbase
from termbase.record.sources import Slip, Source
from termbase.record.trials import Trial
from termbase.rules.clauses import RuleCode

PUBLISHED = Path(__file__).parents[4] / "shared" / "reference" / "tbx"
RECORDS = {
    "termbase": Termbase, "person": Person, "source": Source, "code": RuleCode, "entry": Entry, "term": Term,
    "definition": Definition, "relation": Relation, "analogue": Analogue, "figure": Figure, "ruling": Ruling,
    "slip": Slip, "trial": Trial, "note": ForeignNote,
}  # fmt: skip
ALL_RECORDS = RECORDS | {"image": Image, "page": Page, "line": Line, "redirect": Redirect}
LABELS = Path(__file__).parent / "labels.txt"
PARTS = {
    "entry.definitions",
    "entry.relations",
    "entry.analogues",
    "entry.figures",
    "entry.rulings",
    "entry.foreign_notes",
    "term.foreign_notes",
    "trial.entry_id",
}
"""Fields covered elsewhere: those that contain records of their own, and the entry of a trial, which
contains it."""


@pytest.mark.parametrize("name", RECORDS)
def test_every_record_field_has_its_place(name: str) -> None:
    named = {f"{name}.{field.name}" for field in fields(RECORDS[name])}
    assert named - PARTS <= {path for path, field in FIELDS.items() if field.fate}


@pytest.mark.parametrize("path", [p for p, f in FIELDS.items() if f.values])
def test_values_are_mapped_to_the_picklist(path: str) -> None:
    field = FIELDS[path]
    values = field.values or {}
    assert set(values.values()) <= set(CATEGORIES[field.place].values)
    record, _, name = path.partition(".")
    assert set(values) == set(field_of(RECORDS[record], name).words)


def test_nothing_in_the_picklist_is_mapped_to_other() -> None:
    for field in FIELDS.values():
        for recorded, value in (field.values or {}).items():
            assert value != OTHER or recorded == OTHER or recorded not in CATEGORIES[field.place].values


def test_whatever_is_left_out_has_a_reason() -> None:
    assert [f.path for f in FIELDS.values() if f.fate is Fate.LEFT_OUT and not f.why] == []


def test_every_row_is_for_a_field_or_a_computed_value() -> None:
    computed = {
        "verdict.word", "verdict.reasons", "evidence.mechanic", "evidence.practice", "evidence.name",
        "slip.unsorted", "page", "redirect", "history", "verdict",
    }  # fmt: skip
    known = {f"{name}.{field.name}" for name, cls in ALL_RECORDS.items() for field in fields(cls)}
    assert set(FIELDS) - known - computed == set()


def test_note_labels_never_change() -> None:
    """Older files are read back by these labels: a new field adds a line here, no line is ever removed."""
    labels = "".join(f"{f.path}\t{f.label}\n" for f in FIELDS.values() if f.fate)
    assert labels == LABELS.read_text(encoding="utf-8")


@pytest.mark.parametrize(("module", "file"), [("min", "Min.tbxmd"), ("basic", "Basic.tbxmd")])
def test_categories_are_those_of_the_published_module(module: Module, file: str) -> None:
    if not PUBLISHED.exists():
        pytest.skip("the published module descriptions are not on this machine")
    root = etree.parse(str(PUBLISHED / file)).getroot()
    published = {
        spec.get("name"): (
            spec.tag.removesuffix("Spec"),
            {e.text for e in spec.iter("level")} or {"termSec"},
            {e.text for e in spec.iter("value")},
        )
        for spec in root.iterfind("datCatSet/*")
    }
    ours = {
        c.name: (c.element, {level.value for level in c.levels}, set(c.values))
        for c in CATEGORIES.values()
        if c.module == module
    }
    assert ours == published
    assert root.get("ns") == NAMESPACES[module]
