"""The blueprint of the Rules section, and functions its templates share."""

from collections.abc import Mapping

from flask import Blueprint

from app.web.language import clause_words, verdict_wording
from app.web.language import gettext as _
from termbase.judging.verdict import VERDICT_WORDS
from termbase.judging.wording import to_words
from termbase.record.sources import Source
from termbase.rules.clauses import FAMILIES, AnyClause, Limits, family

__all__ = ["FAMILY_WORDS", "blueprint", "source_label"]

blueprint = Blueprint("rules", __name__, url_prefix="/rules")

FAMILY_WORDS: dict[str, str] = {
    "start hold": "The start hold",
    "keeping": "Keeping the hold",
    "grips": "Where wrestlers may take hold",
    "legs": "The legs",
    "pressure": "Joints, neck and throat",
    "ground": "The ground",
    "named": "Techniques by name",
    "fall": "The fall",
}


def source_label(sources: Mapping[str, Source], named: str) -> str:
    """Return the label of a source named by id; any other name is returned unchanged."""
    return sources[named].label if named in sources else named


def limits_text(clause: AnyClause) -> str:
    """Return where, when and for whom a clause applies; empty if nothing limits it."""
    limits: Limits = clause.limits
    parts = (
        limits.place and _("at %(place)s", place=limits.place),
        limits.years and _("in %(years)s", years=limits.years),
        limits.wrestlers and _("for %(wrestlers)s", wrestlers=limits.wrestlers),
    )
    return ", ".join(part for part in parts if part)


def source_language(sources: Mapping[str, Source], clause: AnyClause) -> str:
    """Return the language of the work that a clause is quoted from; empty if it is not known."""
    source = next((sources[named] for named in clause.sources if named in sources), None)
    return source.language if source else ""


@blueprint.app_template_test("of_family")
def of_family(clause: AnyClause, name: str) -> bool:
    """Return whether a clause belongs to a family."""
    return family(clause) == name


@blueprint.app_template_test("in_part")
def in_part(path: str, part: str) -> bool:
    """Return whether a question is about a part of a clause: its limits, or what a technique looks like."""
    return path.startswith(part)


@blueprint.context_processor
def words() -> dict[str, object]:
    """Return what the templates of this section can use."""
    return {
        "families": FAMILIES,
        "family": family,
        "family_words": lambda name: _(FAMILY_WORDS[name]),
        "limits_text": limits_text,
        "source_label": source_label,
        "source_language": source_language,
        "sentence_of": clause_words,
        "say": lambda what: to_words(what, verdict_wording()),
        "verdict_words": VERDICT_WORDS,
    }
