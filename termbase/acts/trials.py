"""Record trials."""

from dataclasses import replace

from termbase.errors import Ambiguous, BadInput, Problems
from termbase.messages import message
from termbase.record.entries import Entry
from termbase.record.trials import Outcome, Trial, initials_for, names_in_full
from termbase.record.validation import clean_trial
from termbase.rules.clauses import RuleCode
from termbase.store.writing import Act

__all__ = ["remove", "save"]


def save(act: Act, trial: Trial) -> Trial:
    """Save a trial, new (empty id) or changed, and return it as stored.

    Raises:
        Ambiguous: people are named in full; their initials are offered.
        BadInput: the entry or the rule code does not exist, the change that made it work is missing, or a
            field is invalid.
    """
    with Problems() as problems:
        clean = problems.value(trial, clean_trial, trial)
        for check in (_check_change, _check_people, _check_entry, _check_code):
            problems.value(None, check, act, clean)
    clean = replace(clean, entry_id=act.current_id(clean.entry_id))
    return act.add(replace(clean, id=act.new_id("trial"))) if not clean.id else act.put(clean)


def _check_change(_act: Act, trial: Trial) -> None:
    if trial.outcome is Outcome.WORKS_CHANGED and not trial.change.strip():
        raise BadInput(
            message("It works with a change, but the change is not stated."),
            where=message("change"),
            fix=message("State what was changed."),
            path=("change",),
        )


def _check_people(_act: Act, trial: Trial) -> None:
    if names_in_full(trial.people):
        initials = initials_for(trial.people)
        raise Ambiguous(
            message("People are recorded by their initials only."),
            where=message("people"),
            fix=message("Write: %(initials)s", initials=initials),
            choices=((initials, initials),),
        )


def _check_entry(act: Act, trial: Trial) -> None:
    if act.find(Entry, act.current_id(trial.entry_id)) is None:
        raise BadInput(
            message("There is no entry %(entry)s.", entry=repr(trial.entry_id)),
            where=message("entry"),
            fix=message("Choose what was tried."),
            path=("entry_id",),
        )


def _check_code(act: Act, trial: Trial) -> None:
    if trial.code_id and act.find(RuleCode, trial.code_id) is None:
        raise BadInput(
            message("There is no rule code %(name)s.", name=repr(trial.code_id)),
            where=message("rule code"),
            fix=message("Choose one, or none."),
            path=("code_id",),
        )


def remove(act: Act, trial_id: str) -> None:
    """Delete a trial; its history stays."""
    act.remove(Trial, trial_id)
