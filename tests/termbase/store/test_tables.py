"""Tables and rows are derived from the declarations of a record's fields."""

from collections.abc import Iterator
from dataclasses import dataclass
from enum import StrEnum
from typing import Annotated, Any

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from sqlalchemy import MetaData, Table, create_engine, insert, select

from termbase.errors import Damaged
from termbase.fields.declarations import (
    VERSION,
    Block,
    Count,
    Data,
    Flag,
    Id,
    Items,
    Line,
    Lines,
    Member,
    Members,
    Nested,
    Statement,
    fields_of,
)
from termbase.rules.clauses import RuleCode
from termbase.store.rows import CHILDREN, KINDS, TERM, Mapped
from termbase.store.tables import columns_of
from tests.termbase.record.untidy import records

EVERY: dict[str, Mapped[Any]] = {**KINDS, **CHILDREN, "terms": TERM}
CLOSED = [
    (name, field.name)
    for name, mapped in EVERY.items()
    for field in fields_of(mapped.cls)
    if isinstance(field.is_a, Member) and field.name in mapped.table.c
]


class Wood(StrEnum):
    """A closed list."""

    OAK = "oak"
    ASH = "ash"


@dataclass(frozen=True)
class Peg:
    """A record within another."""

    name: Annotated[str, Line()]
    wood: Annotated[Wood, Member()] = Wood.OAK


@dataclass(frozen=True)
class Rack:
    """A record that no module knows, with a field of each kind."""

    id: Annotated[str, Id()]
    name: Annotated[str, Line()] = ""
    note: Annotated[str, Block()] = ""
    wood: Annotated[Wood | None, Member()] = None
    woods: Annotated[tuple[Wood, ...], Members()] = ()
    marks: Annotated[tuple[str, ...], Lines()] = ()
    pegs: Annotated[tuple[Peg, ...], Items("peg")] = ()
    best: Annotated[Peg | None, Nested()] = None
    first: Annotated[Peg, Nested()] = Peg("first")
    height: Annotated[int, Count()] = 0
    full: Annotated[bool, Flag()] = False
    picture: Annotated[bytes, Data()] = b""
    version: Annotated[int, VERSION] = 0


RACK = Table("rack", MetaData(), *columns_of(Rack))
FULL = Rack(
    "k1", "by the door", "oak\nand ash", Wood.ASH, (Wood.OAK, Wood.ASH), ("a", "b"), (Peg("left", Wood.ASH),),
    Peg("right"), Peg("top"), 12, full=True, picture=b"\x89PNG", version=3,
)  # fmt: skip


def through_a_table(*written: Rack) -> Iterator[Rack]:
    mapped, engine = Mapped(Rack, RACK), create_engine("sqlite://")
    with engine.begin() as connection:
        RACK.create(connection)
        for record in written:
            connection.execute(insert(RACK).values(mapped.to_row(record)))
        for row in connection.execute(select(RACK).order_by(RACK.c.id)).mappings():
            yield mapped.from_row(row)


def test_a_record_is_stored_according_to_its_declarations() -> None:
    assert list(through_a_table(FULL, Rack("k2"))) == [FULL, Rack("k2")]
    assert RACK.columns.keys()[0] == "id"
    assert {name for name, column in RACK.columns.items() if column.nullable} == {"wood", "best"}


def test_a_field_without_a_matching_column_type_is_rejected() -> None:
    @dataclass(frozen=True)
    class Said:
        grip: Annotated[object, Statement()]

    with pytest.raises(TypeError, match="grip fits no column type: Statement"):
        list(columns_of(Said))


@pytest.mark.parametrize("name", EVERY)
@settings(suppress_health_check=list(HealthCheck), max_examples=25)
@given(data=st.data())
def test_every_record_survives_storage_in_a_row(name: str, data: st.DataObject) -> None:
    mapped = EVERY[name]
    record = data.draw(records(mapped.cls, right=True))
    row = mapped.to_row(record)
    elsewhere = {
        f.name: getattr(record, f.name) for f in fields_of(mapped.cls) if f.name not in mapped.columns
    }
    assert mapped.from_row(row, **({} if mapped.cls is RuleCode else elsewhere)) == record


@pytest.mark.parametrize(("name", "column"), CLOSED)
def test_a_stored_value_outside_its_closed_list_is_reported_as_damage(name: str, column: str) -> None:
    mapped = EVERY[name]
    listed = {f.name: f.words[0] for f in fields_of(mapped.cls) if f.words}
    row: dict[str, Any] = {**dict.fromkeys(mapped.columns), **listed, "id": "x1", "entry_id": "c0001"}
    with pytest.raises(Damaged, match=f"'no such thing' is not a valid {column.replace('_', ' ')}"):
        mapped.from_row({**row, column: "no such thing"})


def test_a_document_nested_too_deeply_is_reported_as_damage() -> None:
    deep = '{"code":"a","with":{"w":' * 5000 + '"x"' + "}}" * 5000
    row: dict[str, Any] = {**dict.fromkeys(KINDS["line"].columns), "id": "l1", "state": "new", "reason": deep}
    with pytest.raises(Damaged, match="row l1 of the table “line”"):
        KINDS["line"].from_row(row)
