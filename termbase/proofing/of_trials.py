"""Checks of what trials say about safety and people."""

from termbase.messages import message
from termbase.overviews.articles import Article, Library
from termbase.proofing.findings import EntryFaults
from termbase.record.cautions import injury_of
from termbase.record.trials import initials_for, names_in_full

__all__ = ["injuries_unsaid", "people_named", "someone_hurt"]


def someone_hurt(article: Article, library: Library) -> EntryFaults:
    """Someone was hurt in a trial: whoever publishes the technique should have seen it."""
    for trial in article.trials:
        if injuries := injury_of(trial):
            yield (
                message(
                    "Someone was hurt in trial %(trial)s: %(injuries)s.",
                    trial=trial.id,
                    injuries=injuries.rstrip("."),
                ),
                message(
                    "It is published before the technique. Check that the safety measures of the trial are "
                    "recorded, and whether the technique should be tried again at all."
                ),
            )


def injuries_unsaid(article: Article, library: Library) -> EntryFaults:
    """A trial does not say whether anyone was hurt, or which safety measures were taken."""
    for trial in article.trials:
        if not trial.injuries.strip():
            yield (
                message("Trial %(trial)s does not say whether anyone was hurt.", trial=trial.id),
                message("Ask the people who tried it; write “None” if nobody was hurt."),
            )
        if not trial.safety.strip():
            yield (
                message("Trial %(trial)s does not say which safety measures were taken.", trial=trial.id),
                message("Ask the people who tried it."),
            )


def people_named(article: Article, library: Library) -> EntryFaults:
    """An imported trial names people in full."""
    for trial in article.trials:
        if names_in_full(trial.people):
            yield (
                message("Trial %(trial)s names people in full.", trial=trial.id),
                message("Write their initials: %(initials)s", initials=initials_for(trial.people)),
            )
