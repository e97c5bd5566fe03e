"""Save rule codes, one at a time or from a file."""

import re
from collections import Counter
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import replace
from typing import Final, Literal

import msgspec
from sqlalchemy import func, select

from termbase.errors import BadInput, InUse, NotFound, Problems, ReportedAt
from termbase.fields.declarations import Path, path_words
from termbase.messages import message, message_of_number
from termbase.record.cleaning import cleaned, line
from termbase.rules.clauses import RuleCode, years_of
from termbase.rules.files import BadRows
from termbase.store import tables
from termbase.store.reading import Reader
from termbase.store.writing import Act

__all__ = [
    "Collisions",
    "OnCollision",
    "checked_code",
    "code_named",
    "import_codes",
    "remove_code",
    "save_code",
]

OnCollision = Literal["ask", "replace", "as new"]
_ID: Final = re.compile(r"[A-Za-z0-9][A-Za-z0-9_-]{0,31}")
_NUMBERED: Final = re.compile(r"r[0-9]{1,9}")
_RESERVED: Final = frozenset({"compare", "import", "new", "said"})
"""Words used in addresses in the position of an id."""


class Collisions(BadRows):
    """A file that was not imported because ids or names in it belong to other codes here."""


def save_code(act: Act, code: RuleCode) -> RuleCode:
    """Save a rule code, new (empty id) or changed, and return it as stored.

    Raises:
        BadInput: as for `checked_code`.
        Conflict: somebody else changed it since it was read.
    """
    clean = checked_code(act, code)
    return act.put(clean) if clean.id else act.add(replace(clean, id=_new_id(act)))


def _new_id(act: Act) -> str:
    """Return the next free id; a file may have imported one that looks like it."""
    while act.find(RuleCode, new := act.new_id("code")) is not None:
        pass
    return new


def checked_code(act: Act, code: RuleCode) -> RuleCode:
    """Return a rule code, cleaned and validated.

    Raises:
        BadInput: it has no name, or that of another code; its period is not an EDTF date that spans years;
            two clauses have the same id; a clause's years cannot be read.
    """
    with Problems() as problems:
        clean = problems.value(code, cleaned, code)
        for path, years in _years_of(clean):
            if path not in problems.paths:  # an invalid date is already reported
                problems.value(None, _check_years, clean, path, years)
        problems.value(None, _check_name, act, clean)
        _check_numbers(clean)
    return clean


def _check_name(act: Act, code: RuleCode) -> None:
    same_name = next((c for c in act.all(RuleCode) if c.name == code.name and c.id != code.id), None)
    if same_name is not None:
        raise BadInput(
            message("%(code)s already has the name “%(name)s”.", code=same_name.id, name=code.name),
            where=message("name"),
            fix=message("Give it a different name."),
            path=("name",),
        )


def _check_numbers(code: RuleCode) -> None:
    twice = [clause_id for clause_id, n in Counter(c.id for c in code.clauses).items() if n > 1]
    if twice:
        raise BadInput(
            message("Two clauses are numbered %(number)s.", number=twice[0]),
            where=message("clauses"),
            fix=message("Give each its own number."),
            path=("clauses",),
        )


def import_codes(
    act: Act, codes: Iterable[RuleCode], *, collision: OnCollision = "ask", where: str = ""
) -> tuple[RuleCode, ...]:
    """Import rule codes from a file, all or none, and return them as stored.

    A code keeps the id that the file gives it. If its id and name both exist here, that code is updated. If
    only one of them exists, the file may mean another code, and the caller must say which.

    Args:
        act: the act.
        codes: the codes; one without an id gets the id of the code with its name, or the next free one.
        collision: what to do with a code whose id or name another code has: *ask* refuses it, *replace*
            replaces that code, which keeps its id, *as new* gives it a new id, and a new name if its own is
            taken.
        where: the name of the file in errors.

    Raises:
        Collisions: ids or names are taken and *collision* is *ask*; every one is reported.
        BadInput: two rows have the same name, an id is invalid, or as for `save_code`.
    """
    rows = [replace(code, name=line(code.name)) for code in codes]
    twice = [name for name, n in Counter(code.name for code in rows).items() if n > 1]
    if twice:
        raise BadInput(
            message("Two rows are named “%(name)s”.", name=twice[0]),
            where=message("name"),
            fix=message("Keep one of them."),
        )
    for code in rows:
        _check_id(code)
    known = act.all(RuleCode)
    by_id, by_name = {c.id: c for c in known}, {c.name: c for c in known}
    removed = {
        code.id: former for code in rows if code.id not in by_id and (former := _removed(act, code.id))
    }
    bad = [fault for code in rows if (fault := _collision_error(code, removed | by_id, by_name, where))]
    if bad and collision == "ask":
        raise Collisions(bad, where=where)
    stored = []
    for code in rows:
        is_taken = _collision_error(code, removed | by_id, by_name, where) is not None
        if is_taken and collision == "as new":
            own = replace(code, id="", name=_free_name(code.name, by_name), version=0)
        else:
            before = by_id.get(code.id) if code.id in by_id and code.name not in by_name else None
            before = before or by_name.get(code.name)
            own = replace(code, id=before.id if before else code.id, version=before.version if before else 0)
        saved = _store(act, own, new=own.id not in by_id)
        by_id[saved.id], by_name[saved.name] = saved, saved
        stored.append(saved)
    return tuple(stored)


def _removed(act: Act, code_id: str) -> RuleCode | None:
    """Return the removed code that had an id: an id is never reused."""
    history = act.history(RuleCode, code_id) if code_id else ()
    before = history[0].before if history else None
    return msgspec.json.decode(before, type=RuleCode) if before else None


def _store(act: Act, code: RuleCode, *, new: bool) -> RuleCode:
    """Save a code under its own id, which is never reused."""
    if not (new and code.id):
        return save_code(act, code)
    if _NUMBERED.fullmatch(code.id):
        act.count_past("code", code.id)
    return act.add(checked_code(act, code))


def _collision_error(
    code: RuleCode, by_id: Mapping[str, RuleCode], by_name: Mapping[str, RuleCode], where: str
) -> BadInput | None:
    """Return the error for a code whose id or name belongs to another code in the record."""
    same_id, same_name = by_id.get(code.id), by_name.get(code.name)
    at = message("%(where)s, %(kind)s %(name)s", where=where, kind=message("code"), name=f"“{code.id}”")
    fix = message("Choose whether it replaces that code or is added as a new one.")
    if same_id is not None and same_id.name != code.name:
        what = message(
            "The id %(id)s of “%(name)s” already belongs to “%(other)s” here.",
            id=code.id,
            name=code.name,
            other=same_id.name,
        )
        return BadInput(what, where=at, fix=fix)
    if code.id and same_name is not None and same_name.id != code.id:
        what = message(
            "“%(name)s” has the id %(id)s here but %(other)s in the file.",
            name=code.name,
            id=same_name.id,
            other=code.id,
        )
        return BadInput(what, where=at, fix=fix)
    return None


def _check_id(code: RuleCode) -> None:
    if code.id and (not _ID.fullmatch(code.id) or code.id in _RESERVED):
        raise BadInput(
            message("“%(id)s” cannot be the id of a rule code.", id=code.id),
            where=message("id"),
            fix=message("Use at most 32 letters, digits, hyphens and underscores, such as r1 or fair-1868."),
        )


def _free_name(name: str, by_name: Mapping[str, RuleCode]) -> str:
    """Return the name, with the first free number appended if it is taken."""
    names = (name, *(f"{name} ({n})" for n in range(2, len(by_name) + 3)))
    return next(free for free in names if free not in by_name)


def remove_code(act: Act, code_id: str) -> None:
    """Delete a rule code.

    Raises:
        InUse: trials or rulings name it.
    """
    act.get(RuleCode, code_id)
    uses = {
        name: act.connection.scalar(select(func.count()).select_from(t).where(t.c.code_id == code_id)) or 0
        for name, t in (("trials", tables.trial), ("rulings", tables.ruling))
    }
    in_use = _in_use(uses["trials"], uses["rulings"])
    if in_use:
        raise InUse(
            in_use,
            where=code_id,
            fix=message("Change those first."),
        )
    act.remove(RuleCode, code_id)


def _in_use(trials: int, rulings: int) -> str:
    users = {
        "trials": message_of_number("%(n)s trial", "%(n)s trials", trials),
        "rulings": message_of_number("%(n)s ruling", "%(n)s rulings", rulings),
    }
    if trials and rulings:
        return message("The rule code is in use by %(trials)s and %(rulings)s.", **users)
    if trials or rulings:
        user = users["trials" if trials else "rulings"]
        return message("The rule code is in use by %(users)s.", users=user)
    return ""


def code_named(reader: Reader, name: str) -> RuleCode:
    """Return the rule code with this id or name.

    Raises:
        NotFound: there is none.
    """
    codes = reader.all(RuleCode)
    match = next((c for c in codes if name.strip() in (c.id, c.name)), None)
    if match is None:
        known = ", ".join(f"{c.id} ({c.name})" for c in codes) or message("none yet")
        raise NotFound(
            message("There is no rule code %(name)s.", name=repr(name)),
            where=message("code"),
            fix=message("Available: %(known)s.", known=known),
        )
    return match


def _years_of(code: RuleCode) -> Iterator[tuple[Path, str]]:
    """Yield every field of a code that contains years, with its path."""
    yield ("period",), code.period
    for number, clause in enumerate(code.clauses):
        yield ("clauses", number, "limits", "years"), clause.limits.years


def _check_years(code: RuleCode, path: Path, years: str) -> None:
    with ReportedAt(path_words(code, path), path=path):
        years_of(years)
