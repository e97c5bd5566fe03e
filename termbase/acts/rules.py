"""Writing rule codes, one at a time or from a file."""

from collections import Counter
from collections.abc import Iterable
from dataclasses import replace

from sqlalchemy import func, select

from termbase.errors import BadInput, InUse, NotFound, Problems
from termbase.intake import take_date
from termbase.messages import message, message_of_number
from termbase.rulecodes import RuleCode, years_of
from termbase.store import Act, Reader, schema

__all__ = ["code_named", "import_codes", "remove_code", "save_code"]


def save_code(act: Act, code: RuleCode) -> RuleCode:
    """Write a rule code, new (empty id) or changed; returns it as stored.

    Raises:
        BadInput: it has no name, or that of another code; its period is no EDTF date that spans years; two
            clauses have one id; a clause's years cannot be read.
        Conflict: somebody else changed it since it was read.
    """
    with Problems() as problems:
        name = " ".join(code.name.split())
        period = problems.value("", take_date, code.period, message("period"))
        problems.value(None, _check_years, period, message("period"))
        taken = replace(code, name=name, period=period)
        problems.value(None, _check_name, act, taken)
        for clause in taken.clauses:
            where = message("clause %(number)s", number=clause.id)
            problems.value(None, _check_years, clause.limits.years, where)
        _check_numbers(taken)
    return act.add(replace(taken, id=act.new_id("code"))) if not taken.id else act.put(taken)


def _check_name(act: Act, taken: RuleCode) -> None:
    if not taken.name:
        raise BadInput(
            message("The rule code has no name."),
            where=message("name"),
            mend=message("Give it the name it goes by."),
        )
    named = next((one for one in act.all(RuleCode) if one.name == taken.name and one.id != taken.id), None)
    if named is not None:
        raise BadInput(
            message("%(code)s is called “%(name)s” too.", code=named.id, name=taken.name),
            where=message("name"),
            mend=message("Give it a name of its own."),
        )


def _check_numbers(taken: RuleCode) -> None:
    twice = [clause_id for clause_id, n in Counter(c.id for c in taken.clauses).items() if n > 1]
    if twice:
        raise BadInput(
            message("Two clauses are numbered %(number)s.", number=twice[0]),
            where=message("clauses"),
            mend=message("Give each its own number."),
        )


def import_codes(act: Act, codes: Iterable[RuleCode]) -> tuple[RuleCode, ...]:
    """Write rule codes from a file, all of them or, when one cannot be taken, none; returns them as stored.

    A code whose name is known replaces that one, which keeps its id; any other is new.

    Raises:
        BadInput: two rows have one name, or as for `save_code`.
    """
    rows = [replace(code, name=" ".join(code.name.split())) for code in codes]
    twice = [name for name, n in Counter(code.name for code in rows).items() if n > 1]
    if twice:
        raise BadInput(
            message("Two rows are named “%(name)s”.", name=twice[0]),
            where=message("name"),
            mend=message("Keep one of them."),
        )
    known = {code.name: code for code in act.all(RuleCode)}
    stored = []
    for code in rows:
        before = known.get(code.name)
        own = replace(code, id=before.id if before else "", version=before.version if before else 0)
        stored.append(save_code(act, own))
    return tuple(stored)


def remove_code(act: Act, code_id: str) -> None:
    """Take a rule code away.

    Raises:
        InUse: trials or rulings name it.
    """
    act.get(RuleCode, code_id)
    uses = {
        name: act.connection.scalar(select(func.count()).select_from(t).where(t.c.code_id == code_id)) or 0
        for name, t in (("trials", schema.trial), ("rulings", schema.ruling))
    }
    told = _in_use(uses["trials"], uses["rulings"])
    if told:
        raise InUse(
            told,
            where=code_id,
            mend=message("Change those first."),
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
    """The rule code of this id or name.

    Raises:
        NotFound: there is none.
    """
    codes = reader.all(RuleCode)
    found = next((c for c in codes if name.strip() in (c.id, c.name)), None)
    if found is None:
        known = ", ".join(f"{c.id} ({c.name})" for c in codes) or message("none yet")
        raise NotFound(
            message("There is no rule code %(name)s.", name=repr(name)),
            where=message("code"),
            mend=message("There are: %(known)s.", known=known),
        )
    return found


def _check_years(years: str, field: str) -> None:
    try:
        years_of(years)
    except BadInput as error:
        raise BadInput(error.what, where=field, mend=error.mend) from error
