"""A field added to a record without a row in the table appears in all three outputs at once."""

import json
import subprocess
import sys
from pathlib import Path

import pytest

RECORDS = (
    "Term", "Entry", "Analogue", "Figure", "Ruling", "Slip", "Source", "Person", "RuleCode", "Trial",
)  # fmt: skip
PROGRAM = """
import ast, io, json, sqlite3, sys
from importlib.machinery import SourceFileLoader
from pathlib import Path

PLANTED = {
    "termbase.record.entries": ("Term", "Entry", "Analogue", "Figure", "Ruling"),
    "termbase.record.sources": ("Slip", "Source"), "termbase.record.people": ("Person",),
    "termbase.record.trials": ("Trial",),
    "termbase.rules.clauses": ("RuleCode",),
}
as_it_is = SourceFileLoader.get_code


def with_fields(loader, name):
    if name not in PLANTED:
        return as_it_is(loader, name)
    text = Path(loader.path).read_text(encoding="utf-8")
    body = ast.parse(text).body
    lines = text.splitlines()
    for found in reversed(body):
        if isinstance(found, ast.ClassDef) and found.name in PLANTED[name]:
            last = max(n.end_lineno for n in found.body if isinstance(n, ast.AnnAssign))
            lines.insert(last, '    hill_word: Annotated[str, Planted("word of the hill")] = ""')
    first = next(n for n in body if isinstance(n, (ast.Import, ast.ImportFrom)))
    lines.insert(first.lineno - 1, "from termbase.fields.declarations import Line as Planted")
    return compile("\\n".join(lines), loader.path, "exec")


SourceFileLoader.get_code = with_fields

import PIL.Image

from exports.tbx.writer import render
from termbase.overviews.articles import Library
from termbase.record.entries import Analogue, Entry, Figure, Origin, Ruling, Term
from termbase.record.people import Image, Person, Termbase
from termbase.rules.clauses import RuleCode
from termbase.record.sources import Slip, Source, SourceKind
from termbase.store.engine import Store
from termbase.store import tables
from termbase.record.trials import Outcome, Trial

Store.create(sys.argv[1], Termbase("Hills"), by="Nia").close()
with sqlite3.connect(sys.argv[1]) as connection:
    for table in tables.metadata.sorted_tables:
        if "hill_word" in table.c:
            connection.execute(f"ALTER TABLE {table.name} ADD COLUMN hill_word TEXT NOT NULL DEFAULT ''")
connection.close()
store = Store.open(sys.argv[1])
with store.act("Nia", "filled it") as act:
    drawn = io.BytesIO()
    PIL.Image.new("L", (3, 2)).save(drawn, "PNG")
    act.add_image(Image("0123456789abcdef", "image/png", 3, 2, drawn.getvalue()))
    act.take(Person("p1", "Nia", hill_word="of Person."))
    act.take(Source("s1", "Lamp", SourceKind.OTHER, "The Lamp", hill_word="of Source."))
    act.take(RuleCode("r1", "Fair rules", hill_word="of RuleCode."))
    act.take(Entry(
        "c0001", terms=(Term("t1", "trip", "en", Origin.IN_USE, hill_word="of Term."),),
        analogues=(Analogue("hook", "en", "open", hill_word="of Analogue."),),
        figures=(Figure("0123456789abcdef", "The hook", hill_word="of Figure."),),
        rulings=(Ruling("r1", "open", "Nia", "2026-01-01", "", hill_word="of Ruling."),),
        hill_word="of Entry.",
    ))
    act.take(Slip("q1", "s1", "a trip", term_id="t1", hill_word="of Slip."))
    act.take(Trial("m1", "c0001", "2026-01-01", Outcome.WORKS, hill_word="of Trial."))
with store.read() as reader:
    exported = {d: "".join(render(Library(reader), d)) for d in ("basic-dca", "basic-dct", "wordhold")}
print(json.dumps(exported))
"""


@pytest.fixture(scope="module")
def exported(tmp_path_factory: pytest.TempPathFactory) -> dict[str, str]:
    """Return the text of each output of a termbase whose records have one more field, made in a separate
    process."""
    place = tmp_path_factory.mktemp("planted") / "planted.sqlite"
    done = subprocess.run(
        [sys.executable, "-c", PROGRAM, str(place)],
        check=True, capture_output=True, text=True, cwd=Path(__file__).parents[3],
        env={"PYTHONPATH": ".", "PATH": ""},
    )  # fmt: skip
    found: dict[str, str] = json.loads(done.stdout)
    return found


@pytest.mark.parametrize("record", RECORDS)
@pytest.mark.parametrize("dialect", ["basic-dca", "basic-dct", "wordhold"])
def test_a_new_field_without_a_row_is_in_every_output(
    exported: dict[str, str], dialect: str, record: str
) -> None:
    assert exported[dialect].count(f"of {record}.") == 1
