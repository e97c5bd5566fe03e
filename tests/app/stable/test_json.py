"""Every field of every JSON document of the command line keeps its name and type.

The documents come from runs on the demo; samples add what the demo lacks. A path is the place of a field:
`[]` is any item of a list, `*` any id that is a key.
"""

import json
import re
from collections import defaultdict
from collections.abc import Callable
from pathlib import Path

from tests.app.described import Printed
from tests.app.stable.held import check

Run = Callable[[str], tuple[int, str]]

RUNS = """
profiles import {samples}/techniques.toml
source add Sheet --title Sheet --pattern "pocket list"
page add {samples}/words.txt --source Sheet --page 1
source add List --title List --pattern "two lines, phrases below"
page add {samples}/phrases.txt --source List --page 1
import csv {samples}/names.csv --json --dry-run
import csv {samples}/names.csv --json
import csv {samples}/changed.csv --json --dry-run
import tbx {tests}/exports/tbx/foreign/basic-dca.tbx --json --dry-run
import tbx {tests}/exports/tbx/foreign/basic-dca.tbx --json
import tbx {tests}/exports/tbx/foreign/basic-dca.tbx --json --dry-run
find fachiad --json
find --topic throw --json
show c0001 --json
show c0015 --json
show c0033 --json
show "cwlwm sawdl" --json
show "hip throw" --json
judge --json
judge c0015 --json --year 1870 --place Glan --wrestlers boys --footwear shod --barred hank
judge --json --code r1
proof --json
source list --json
source cite --json
page lines --json
page accept --all-clear --json
page trim w3 --code r1 --json
page trim w3 --code r1 --apply --json
export tbx -o {tmp}/names.tbx --json
export tbx -o {tmp}/basic.tbx --dialect basic-dct --json
import tbx {tmp}/names.tbx --json
import tbx {tmp}/basic.tbx --take all --json
export csv -o {tmp}/names.csv --json
export xlsx -o {tmp}/names.xlsx --json
import xlsx {samples}/changed.xlsx --dry-run --json
export skos -o {tmp}/names.ttl --json
export citations -o {tmp}/works.bib --format bibtex --json
import citations {tmp}/works.bib --json
import citations {samples}/works.bib --dry-run --json
publish pdf -o {tmp}/names.pdf --json
publish cards -o {tmp}/cards.pdf --json
publish site -o {tmp}/site --json
publish epub -o {tmp}/names.epub --json
publish proof --json
languages forms cy fachiad --json
backup {tmp}/kept.zip --json
restore {tmp}/kept.zip --db {tmp}/again.sqlite --json
digest --json
merge c0001 c0008 --preview --json
merge c0015 "hip throw" --preview --json
merge "cwlwm sawdl" "hip throw" --preview --json
merge c0001 c0008 --json --choose "preferred en=this" --choose "preferred cy=this" --choose "topic=this" \
  --choose "definition en=both" --choose "definition cy=both"
""".strip().splitlines()

ID = re.compile(r"[a-z]\d+")
TABLES_BY_NAME = ("kinds",)
"""Paths of tables with keys that nobody relies on: table names of the database."""
TYPES: dict[type, str] = {
    dict: "table", list: "list", str: "text", bool: "truth", int: "number", float: "number",
    type(None): "null",
}  # fmt: skip


def fields_of(document: object) -> dict[str, set[str]]:
    """Return the types of every value in a document, by path."""
    result: dict[str, set[str]] = defaultdict(set)

    def walk(value: object, path: str) -> None:
        result[path].add(TYPES[type(value)])
        if isinstance(value, dict):
            for key, under in value.items():
                walk(
                    under, f"{path}.{'*' if ID.fullmatch(key) or path in TABLES_BY_NAME else key}".lstrip(".")
                )
        elif isinstance(value, list):
            for under in value:
                walk(under, f"{path}[]")

    walk(document, "")
    del result[""]
    return result


def commands_with_json() -> set[str]:
    """Return the commands that have `--json`."""
    held = json.loads((Path(__file__).parent / "commands.json").read_text("utf-8"))
    return {name.removeprefix("wordhold ") for name, options in held.items() if "--json" in options}


def test_fields_of_documents_stay_and_are_described(run: Run) -> None:
    result: dict[str, dict[str, set[str]]] = defaultdict(lambda: defaultdict(set))
    printed = Printed()
    for line in RUNS:
        status, out = run(line)
        assert status == 0, f"{line}: {out}"
        if "--json" in line:
            document = json.loads(out)
            printed.add(document)
            for path, types in fields_of(document).items():
                result[document["wordhold"]][path] |= types

    assert result.keys() == commands_with_json()
    assert printed.undescribed == set()
    assert sorted(printed.never_printed()) == []
    check(
        "documents",
        {
            command: {path: " or ".join(sorted(types)) for path, types in fields.items()}
            for command, fields in result.items()
        },
    )
