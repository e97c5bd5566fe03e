"""Writing rule codes."""

from dataclasses import replace

from sqlalchemy import func, select

from termbase.errors import BadInput, InUse, NotFound
from termbase.intake import take_date
from termbase.rulecodes import RuleCode
from termbase.store import Act, Reader, schema

__all__ = ["code_named", "remove_code", "save_code"]


def save_code(act: Act, code: RuleCode) -> RuleCode:
    """Write a rule code, new (empty id) or changed; returns it as stored.

    Raises:
        BadInput: it has no name, or its period is no EDTF date.
    """
    if not code.name.strip():
        raise BadInput("The rule code has no name.", where="name", mend="Give it the name it goes by.")
    taken = replace(code, name=" ".join(code.name.split()), period=take_date(code.period, "period"))
    return act.add(replace(taken, id=act.new_id("code"))) if not taken.id else act.put(taken)


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
    told = ", ".join(f"{number} {name}" for name, number in uses.items() if number)
    if told:
        raise InUse(f"The rule code is in use: {told} name it.", where=code_id, mend="Change those first.")
    act.remove(RuleCode, code_id)


def code_named(reader: Reader, name: str) -> RuleCode:
    """The rule code of this id or name.

    Raises:
        NotFound: there is none.
    """
    codes = reader.all(RuleCode)
    found = next((c for c in codes if name.strip() in (c.id, c.name)), None)
    if found is None:
        known = ", ".join(f"{c.id} ({c.name})" for c in codes) or "none yet"
        raise NotFound(f"There is no rule code {name!r}.", where="code", mend=f"There are: {known}.")
    return found
