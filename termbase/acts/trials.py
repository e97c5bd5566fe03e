"""Recording trials."""

from dataclasses import replace

from termbase.entries import Entry
from termbase.errors import BadInput
from termbase.intake import take_trial
from termbase.messages import message
from termbase.rulecodes import RuleCode
from termbase.store import Act
from termbase.trials import Outcome, Trial

__all__ = ["remove", "save"]


def save(act: Act, trial: Trial) -> Trial:
    """Write a trial, new (empty id) or changed; returns it as stored.

    Raises:
        BadInput: the entry or the rule code is not there, a change made it work and is not said, or a field
            cannot be taken.
    """
    taken = take_trial(trial)
    if taken.outcome is Outcome.WORKS_CHANGED and not taken.change:
        raise BadInput(
            message("It works with a change, but not which."),
            where=message("change"),
            mend=message("Say what was changed."),
        )
    taken = replace(taken, entry_id=act.current_id(taken.entry_id))
    if act.find(Entry, taken.entry_id) is None:
        raise BadInput(
            message("There is no entry %(entry)s.", entry=repr(taken.entry_id)),
            where=message("entry"),
            mend=message("Choose what was tried."),
        )
    if taken.code_id and act.find(RuleCode, taken.code_id) is None:
        raise BadInput(
            message("There is no rule code %(name)s.", name=repr(taken.code_id)),
            where=message("rule code"),
            mend=message("Choose one, or none."),
        )
    return act.add(replace(taken, id=act.new_id("trial"))) if not taken.id else act.put(taken)


def remove(act: Act, trial_id: str) -> None:
    """Take a trial away; its history stays."""
    act.remove(Trial, trial_id)
