"""Read and write rule codes and technique profiles as TOML, to write by hand, keep under version control and
share.

Each rule code is a table, with its clauses below it. The fields are those of `termbase.rules.clauses`; the
code is silent on a field that is left out:

    [[code]]
    id = "r01"
    name = "Glanmorwen Fair rules"
    place = "Glanmorwen"
    period = "1868"                     # EDTF
    sources = ["Fair rules 1868"]

    [[code.clause]]
    family = "start hold"               # start hold, keeping, grips, legs, pressure, ground, named, fall
    id = "1"
    sources = ["Fair rules 1868, 2"]
    right = ["shoulder strap"]
    left = ["belt near side"]
    limits = { years = "1868/1884", wrestlers = "men" }

Each technique is a table; the fields are those of `termbase.technique.profile.Profile`. `basis` and `ref` say
where every value of the table comes from; a value with another origin has its own. A field that is left out
is not stated.

    [[technique]]
    id = "c0012"
    name = "back heel"
    names = ["back-heeling"]
    basis = "slip"                      # slip, trial, analogue, reading (the default)
    ref = "s0034"
    leg_use = "hook"
    contact = ["heel"]
    first_down = { value = "he", basis = "trial", ref = "t003" }
    right = { places = ["shoulder strap"], work = "push", essential = false }

Reading is all or nothing: every bad row is reported, and nothing is imported if one is bad.
"""

import re
from collections import Counter
from collections.abc import Iterable
from dataclasses import fields, replace
from typing import Final, TypeVar

import msgspec
import tomli_w

from termbase.errors import BadInput
from termbase.messages import joined, message, message_of_number
from termbase.rules.clauses import FAMILY_OF, AnyClause, Limits, RuleCode, years_of
from termbase.technique.profile import Hand, NamedProfile, Profile
from termbase.technique.words import UNJUDGED
from termbase.tomlfiles import read_toml

__all__ = ["BadRows", "read_codes", "read_profiles", "write_codes", "write_profiles"]

_HANDS: Final = ("right", "left")
_PROFILE: Final = tuple(field.name for field in fields(Profile) if field.name not in UNJUDGED)
_HAND: Final = tuple(field.name for field in fields(Hand))
_KINDS: Final[dict[str, type[AnyClause]]] = {name: kind for kind, name in FAMILY_OF.items()}
_CLAUSES: Final = {name: frozenset(kind.__struct_fields__) | {"family"} for name, kind in _KINDS.items()}
_KEY: Final = re.compile(r"\s*\[\[\s*(?P<name>[\w.]+)\s*\]\]")

T = TypeVar("T")
Table = dict[str, object]


class BadRows(BadInput):
    """A file that was not imported because some rows are bad.

    Attributes:
        rows: one error for each bad row, in the order of the file.
        counted: how many rows are bad, and that nothing was imported; `what` adds each row to it.
    """

    def __init__(self, rows: Iterable[BadInput], *, where: str) -> None:
        self.rows = tuple(rows)
        self.counted = message_of_number(
            "%(n)s bad row; nothing was imported.", "%(n)s bad rows; nothing was imported.", len(self.rows)
        )
        what = joined((self.counted, *(row.said for row in self.rows)), "\n")
        super().__init__(what, where=where, fix=message("Correct them and read the file again."))


def read_codes(text: str, where: str) -> tuple[RuleCode, ...]:
    """Read the rule codes of a TOML text, in its order; *where* names the file in errors.

    Raises:
        BadInput: if the text is not TOML or holds anything but codes.
        BadRows: if a code or clause is bad; all of them are named.
    """
    tables, lines = _tables(text, where, "code")
    codes: list[RuleCode] = []
    bad: list[BadInput] = []
    for number, table in enumerate(tables, 1):
        place = _place(where, "code", number, table, lines)
        rows = table.pop("clause", [])
        clauses = _clauses(rows, place, number, lines, bad)
        own = {field.name for field in fields(RuleCode)} - {"clauses"}
        code = _convert({**table}, RuleCode, own, place, bad)
        if code is not None:
            _check_years(code.period, place, "period", bad)
            codes.append(replace(code, clauses=clauses))
    _unique([code.id for code in codes], where, "code", bad)
    if bad:
        raise BadRows(bad, where=where)
    return tuple(codes)


def read_profiles(text: str, where: str) -> tuple[NamedProfile, ...]:
    """Read the named profiles of a TOML text, in its order; *where* names the file in errors.

    Raises:
        BadInput: if the text is not TOML or holds anything but techniques.
        BadRows: if a technique is bad; all of them are named.
    """
    tables, lines = _tables(text, where, "technique")
    profiles: list[NamedProfile] = []
    bad: list[BadInput] = []
    for number, table in enumerate(tables, 1):
        place = _place(where, "technique", number, table, lines)
        row = _profile_row(table, place, bad)
        known = {"id", "name", "names", "note", "profile"}
        named = _convert(row, NamedProfile, known, place, bad)
        if named is not None:
            profiles.append(named)
    _unique([named.id for named in profiles], where, "technique", bad)
    if bad:
        raise BadRows(bad, where=where)
    return tuple(profiles)


def write_codes(codes: Iterable[RuleCode]) -> str:
    """Write rule codes as TOML; `read_codes` returns equal ones."""
    rows = []
    for code in codes:
        row: Table = {name: value for name, value in _shallow(code).items() if value and name != "clauses"}
        row["clause"] = [msgspec.to_builtins(clause) for clause in code.clauses]
        rows.append({"id": code.id, "name": code.name} | row)
    return tomli_w.dumps(msgspec.to_builtins({"code": rows}))


def write_profiles(profiles: Iterable[NamedProfile]) -> str:
    """Write named profiles as TOML, the commonest origin of each once; `read_profiles` returns equal ones."""
    return tomli_w.dumps({"technique": [_profile_table(named) for named in profiles]})


def _tables(text: str, where: str, key: str) -> tuple[list[Table], dict[tuple[int, int], int]]:
    document = read_toml(text, where)
    unknown = sorted(set(document) - {key})
    tables = document.get(key, [])
    if unknown or not isinstance(tables, list) or not all(isinstance(table, dict) for table in tables):
        raise BadInput(
            message("Only [[%(key)s]] tables are allowed here, not “%(name)s”.", key=key, name=unknown[0])
            if unknown
            else message("Only [[%(key)s]] tables are allowed here.", key=key),
            where=where,
            fix=message("Begin every row with [[%(key)s]].", key=key),
        )
    return tables, _lines(text, key)


def _lines(text: str, key: str) -> dict[tuple[int, int], int]:
    """Return the line where each table begins, by table and clause number (0 for the table itself)."""
    starts: dict[tuple[int, int], int] = {}
    table = clause = 0
    for number, line in enumerate(text.splitlines(), 1):
        header = _KEY.match(line)
        if header and header["name"] == key:
            table, clause = table + 1, 0
        elif header and header["name"] == f"{key}.clause":
            clause += 1
        else:
            continue
        starts[table, clause] = number
    return starts


def _place(where: str, kind: str, number: int, table: Table, lines: dict[tuple[int, int], int]) -> str:
    line = lines.get((number, 0))
    called = f"{number} “{table['id']}”" if "id" in table else str(number)
    if line:
        return message(
            "%(where)s, line %(line)s, %(kind)s %(name)s",
            where=where,
            line=line,
            kind=message(kind),
            name=called,
        )
    return message("%(where)s, %(kind)s %(name)s", where=where, kind=message(kind), name=called)


def _clauses(
    rows: object, place: str, code: int, lines: dict[tuple[int, int], int], bad: list[BadInput]
) -> tuple[AnyClause, ...]:
    if not isinstance(rows, list):
        bad.append(
            BadInput(
                message("Clauses must be tables."),
                where=place,
                fix=message("Begin each with [[code.clause]]."),
            )
        )
        return ()
    clauses: list[AnyClause] = []
    for number, row in enumerate(rows, 1):
        line = lines.get((code, number))
        at = _clause_place(place, line, number)
        if not isinstance(row, dict):
            bad.append(
                BadInput(
                    message("A clause must be a table."),
                    where=at,
                    fix=message("Begin it with [[code.clause]]."),
                )
            )
            continue
        clause = _clause(row, at, bad)
        if clause is not None:
            _check_years(clause.limits.years, at, "limits.years", bad)
            clauses.append(clause)
    _unique([clause.id for clause in clauses], place, "clause", bad)
    return tuple(clauses)


def _clause_place(place: str, line: int | None, number: int) -> str:
    if line:
        return message("%(where)s, line %(line)s, clause %(number)s", where=place, line=line, number=number)
    return message("%(where)s, clause %(number)s", where=place, number=number)


def _clause(row: Table, at: str, bad: list[BadInput]) -> AnyClause | None:
    if "id" in row:
        at = joined((at, f"“{row['id']}”"))
    kind = row.get("family")
    if not isinstance(kind, str) or kind not in _CLAUSES:
        families = ", ".join(_CLAUSES)
        what = (
            message("“%(name)s” is not a clause family.", name=kind)
            if kind
            else message("The family is missing.")
        )
        bad.append(BadInput(what, where=at, fix=message("Write one of: %(words)s.", words=families)))
        return None
    limits = row.get("limits")
    if isinstance(limits, dict):
        unknown = sorted(set(limits) - set(Limits.__struct_fields__))
        bad.extend(_unknown_field(name, at, Limits.__struct_fields__) for name in unknown)
    return _convert(row, _KINDS[kind], _CLAUSES[kind], at, bad)


def _convert(row: Table, kind: type[T], known: Iterable[str], at: str, bad: list[BadInput]) -> T | None:
    unknown = sorted(set(row) - set(known))
    if unknown:
        bad.extend(_unknown_field(name, at, known) for name in unknown)
        return None
    try:
        return msgspec.convert(row, kind)
    except msgspec.ValidationError as error:
        what, _, path = str(error).partition(" - at `$")
        field = path.rstrip("`").lstrip(".")
        where = message("%(where)s, field %(field)s", where=at, field=field) if field else at
        bad.append(BadInput(message("%(what)s.", what=what), where=where, fix=_fix_for(what)))
        return None


def _fix_for(what: str) -> str:
    if "missing required" in what:
        return message("Add the field.")
    if "enum value" in what:
        return message("Use one of the listed values.")
    return message("Use a value of the right type.")


def _unknown_field(name: str, at: str, known: Iterable[str]) -> BadInput:
    listed = ", ".join(sorted(known))
    return BadInput(
        message("There is no field “%(name)s” here.", name=name),
        where=at,
        fix=message("The fields are: %(names)s.", names=listed),
    )


def _check_years(years: str, at: str, field: str, bad: list[BadInput]) -> None:
    try:
        years_of(years)
    except BadInput as error:
        bad.append(
            BadInput(
                error.what,
                where=message("%(where)s, field %(field)s", where=at, field=field),
                fix=error.fix,
            )
        )


def _unique(ids: list[str], where: str, kind: str, bad: list[BadInput]) -> None:
    for name, count in Counter(ids).items():
        if count > 1:
            bad.append(
                BadInput(_given_twice(name, kind, count), where=where, fix=message("Give each its own id."))
            )


def _given_twice(name: str, kind: str, n: int) -> str:
    if kind == "code":
        return message_of_number(
            "%(n)s code has the id “%(name)s”.",
            "%(n)s codes have the id “%(name)s”.",
            n,
            name=name,
        )
    if kind == "clause":
        return message_of_number(
            "%(n)s clause has the id “%(name)s”.",
            "%(n)s clauses have the id “%(name)s”.",
            n,
            name=name,
        )
    return message_of_number(
        "%(n)s technique has the id “%(name)s”.",
        "%(n)s techniques have the id “%(name)s”.",
        n,
        name=name,
    )


def _profile_row(table: Table, place: str, bad: list[BadInput]) -> Table:
    """Convert a technique's table to the shape of `NamedProfile`, every value with its origin."""
    origin = {"basis": table.pop("basis", "reading"), "ref": table.pop("ref", "")}
    profile: Table = {}
    row: Table = {"profile": profile}
    for name, value in table.items():
        if name in _HANDS and isinstance(value, dict):
            unknown = sorted(set(value) - set(_HAND))
            bad.extend(_unknown_field(f"{name}.{field}", place, _HAND) for field in unknown)
            profile[name] = {field: _with_origin(given, origin) for field, given in value.items()}
        elif name in _PROFILE:
            profile[name] = _with_origin(value, origin)
        else:
            row[name] = value
    return row


def _with_origin(value: object, origin: Table) -> object:
    return value if isinstance(value, dict) else {"value": value, **origin}


def _profile_table(named: NamedProfile) -> Table:
    profile: Table = msgspec.to_builtins(named.profile)
    values = list(_values(profile))
    origins = Counter((str(value["basis"]), str(value["ref"])) for value in values)
    basis, ref = max(origins, key=lambda origin: (origins[origin], origin)) if origins else ("reading", "")
    row: Table = {"id": named.id, "name": named.name}
    row |= {"names": list(named.names)} if named.names else {}
    row |= {"note": named.note} if named.note else {}
    row |= {"basis": basis} if basis != "reading" else {}
    row |= {"ref": ref} if ref else {}
    for name, value in profile.items():
        if name in UNJUDGED:
            continue
        if name in _HANDS and isinstance(value, dict):
            hand = {
                field: _without_origin(given, basis, ref)
                for field, given in value.items()
                if given is not None
            }
            row |= {name: hand} if hand else {}
        elif value is not None:
            row[name] = _without_origin(value, basis, ref)
    return row


def _values(profile: Table) -> Iterable[Table]:
    for name, value in profile.items():
        if not isinstance(value, dict):
            continue
        if name in _HANDS:
            yield from (given for given in value.values() if isinstance(given, dict))
        else:
            yield value


def _without_origin(statement: object, basis: str, ref: str) -> object:
    if not isinstance(statement, dict):
        return statement
    value = list(statement["value"]) if isinstance(statement["value"], tuple) else statement["value"]
    if (statement["basis"], statement["ref"]) == (basis, ref):
        return value
    return {"value": value, "basis": statement["basis"]} | (
        {"ref": statement["ref"]} if statement["ref"] else {}
    )


def _shallow(code: RuleCode) -> Table:
    return {field.name: getattr(code, field.name) for field in fields(code)}
