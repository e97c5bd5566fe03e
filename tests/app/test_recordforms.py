"""The form of a record has an input for every field, and restores the record that it was filled from."""

from collections.abc import Mapping

import pytest
from flask.testing import FlaskClient
from hypothesis import given
from hypothesis import strategies as st
from lxml.html import fromstring

from app.web import start, trials
from app.web.entries import forms as parts
from app.web.entries import slips as entry_slips
from app.web.forms import Form
from app.web.publish import termbase
from app.web.recordforms import RecordForm
from app.web.rules import editing as rules
from app.web.sources import slips, sources
from termbase.errors import BadInput, Problems
from termbase.fields.declarations import (
    Block,
    Data,
    DeclaredField,
    Flag,
    Id,
    Items,
    Lines,
    Member,
    Members,
    Nested,
    Statement,
    changed_by,
    fields_of,
)
from termbase.record.entries import Analogue, Definition, Entry, Figure, Origin, Term
from termbase.record.people import Person, Termbase
from termbase.record.sources import Slip, Source, SourceKind
from termbase.record.trials import Outcome, Trial
from termbase.rules.clauses import RuleCode
from termbase.store.engine import Store

FORMS: Mapping[str, tuple[RecordForm, str]] = {
    "source": (sources.FORM, "/sources/new"),
    "slip of a source": (slips.FORM, "/sources/s1/slips/new"),
    "slip of an entry": (entry_slips.FORM, "/entries/c0001/edit/slip-new"),
    "topic": (parts.TOPIC, "/entries/c0001/edit/topic"),
    "notes": (parts.NOTES, "/entries/c0001/edit/notes"),
    "definition": (parts.DEFINITION, "/entries/c0001/edit/definitions"),
    "analogue": (parts.ANALOGUE, "/entries/c0001/edit/analogues"),
    "figure": (parts.FIGURE, "/entries/FIGURE/edit/figures"),
    "name": (parts.TERM, "/entries/c0001/edit/term-new"),
    "trial": (trials.FORM, "/trials/new"),
    "termbase": (termbase.ABOUT, "/publish/termbase"),
    "person": (termbase.PERSON, "/publish/termbase"),
    "rule code": (rules.FORM, "/rules/new"),
}
"""Every record form, with an address that shows it."""
BLANK = (
    Source("", "", SourceKind.OTHER, ""), Slip("", "", ""), Entry(""), Definition("", ""),
    Analogue("", "", ""), Figure("", ""), Term("", "", "", Origin.COINED), Trial("", "", "", Outcome.WORKS),
    Termbase(""), Person("", ""), RuleCode("", ""),
)  # fmt: skip
NO_INPUT = (Id, Items, Nested, Statement, Data)
TEXT = st.text(st.sampled_from("aé,;|: 1"), max_size=6).map(str.strip)


def test_every_form_is_tested(client: FlaskClient) -> None:
    assert {id(form) for form, _ in FORMS.values()} | {id(start.FORM)} == {
        id(value)
        for module in (sources, slips, entry_slips, parts, trials, termbase, rules, start)
        for value in vars(module).values()
        if isinstance(value, RecordForm)
    }


@pytest.mark.parametrize("name", FORMS)
def test_every_field_has_an_input(demo_client: FlaskClient, demo_store: Store, name: str) -> None:
    form_of, address = FORMS[name]
    if "FIGURE" in address:
        with demo_store.read() as reader:
            address = address.replace("FIGURE", next(e.id for e in reader.all(Entry) if e.figures))
    page = fromstring(demo_client.get(address).text)
    shown = "self::input or self::select or self::textarea"
    inputs = set(page.xpath(f"//main//form[@method='post']//*[{shown}]/@name"))
    wanted = {form_of.name(field.name) for field in form_of.fields} - {"version"}
    assert wanted - inputs == set()


def test_the_start_form_has_an_input_for_every_field(client: FlaskClient) -> None:
    page = fromstring(client.get("/").text)
    assert set(start.FORM.only) - set(page.xpath("//form//input/@name")) == set()


@pytest.mark.parametrize("record", [type(blank) for blank in BLANK])
def test_a_declared_field_is_in_a_form_or_the_form_says_why_not(record: type) -> None:
    forms = [form for form, _ in FORMS.values() if form.record is record]
    editable = {f.name for f in fields_of(record) if not (isinstance(f.is_a, NO_INPUT) or f.is_a.bookkeeping)}
    shown = {field.name for form in forms for field in form.fields}
    left_out = {name for form in forms for name in form.without}
    assert forms
    assert editable - shown - left_out == set()
    assert left_out - {field.name for field in fields_of(record)} == set()
    assert all(reason for form in forms for reason in form.without.values())


def any_value(form_of: RecordForm, field: DeclaredField) -> st.SearchStrategy[object]:
    if isinstance(field.is_a, Flag):
        return st.booleans()
    if isinstance(field.is_a, Members):
        words = tuple(field.members or field.words)
        return st.sets(st.sampled_from(words)).map(lambda chosen: tuple(w for w in words if w in chosen))
    if isinstance(field.is_a, Member):
        words = tuple(field.members or field.words)
        return st.sampled_from((None, *words) if field.optional else words)
    if isinstance(field.is_a, Lines):
        return st.lists(st.sampled_from(["cy", "ga-Latg", "en"]), max_size=2).map(tuple)
    if isinstance(field.is_a, Block):
        return st.lists(TEXT, max_size=2).map("\n".join)
    return st.integers(0, 99) if field.hint is int else TEXT


@pytest.mark.parametrize("name", [name for name, (form, _) in FORMS.items() if not form.also])
@given(data=st.data())
def test_a_form_restores_the_record_that_it_was_filled_from(name: str, data: st.DataObject) -> None:
    form_of = FORMS[name][0]
    blank = next(record for record in BLANK if isinstance(record, form_of.record))
    values = {field.name: data.draw(any_value(form_of, field), field.name) for field in form_of.fields}
    record = changed_by(blank, values)
    with Problems() as problems:
        restored = form_of.read(Form.of(**form_of.filled(record)), blank, problems)
    assert restored == record


@pytest.mark.parametrize("name", FORMS)
def test_a_word_outside_its_closed_list_is_reported_beside_its_field(client: FlaskClient, name: str) -> None:
    form_of = FORMS[name][0]
    blank = next(record for record in BLANK if isinstance(record, form_of.record))
    closed = [f for f in form_of.fields if isinstance(f.is_a, Member | Members)]
    also = dict.fromkeys(form_of.also, ())
    typed = {**form_of.filled(blank), **{form_of.name(field.name): "dreamt" for field in closed}}
    with client.application.test_request_context("/"):
        problems = Problems()
        form_of.read(Form.of(**typed), blank, problems, also)
        try:
            problems.check()
            reported = set()
        except BadInput as error:
            reported = set(form_of.refused(Form.of(**typed), error).errors)
    assert reported == {form_of.name(field.name) for field in closed}


def test_fields_missing_from_a_form_stay_unchanged() -> None:
    before = Source("s1", "Lantern", SourceKind.NEWSPAPER, "The Lantern", place="Aber", rights="Free")
    with Problems() as problems:
        made = sources.FORM.read(Form.of(kind="other", title="A Lantern", version=1), before, problems)
    assert (made.title, made.kind, made.version) == ("A Lantern", SourceKind.OTHER, 1)
    assert (made.label, made.place, made.rights) == ("Lantern", "Aber", "Free")
