"""Rule codes: their clauses, what each says in plain words, and whether they contradict each other."""

from typing import TYPE_CHECKING

from termbase.loading import late_names

if TYPE_CHECKING:
    from termbase.rulecodes.clauses import (
        EVERYWHERE,
        FAMILIES,
        FAMILY_OF,
        HEIGHTS,
        ZONES,
        AnyClause,
        Clause,
        FallRule,
        Family,
        Footwear,
        Garment,
        GripRule,
        GroundRule,
        Height,
        Holdable,
        KeepRule,
        LegRule,
        Likeness,
        Limits,
        NamedRule,
        PressureRule,
        RuleCode,
        Stance,
        StartHold,
        Touch,
        Zone,
        family,
    )
    from termbase.rulecodes.consistency import Contradiction, contradictions
    from termbase.rulecodes.limits import Span, years_of
    from termbase.rulecodes.sentences import sentence
else:  # most commands need only the records of this package
    __getattr__ = late_names(__name__, "clauses", "limits", "sentences", "consistency")

__all__ = [
    "EVERYWHERE",
    "FAMILIES",
    "FAMILY_OF",
    "HEIGHTS",
    "ZONES",
    "AnyClause",
    "Clause",
    "Contradiction",
    "FallRule",
    "Family",
    "Footwear",
    "Garment",
    "GripRule",
    "GroundRule",
    "Height",
    "Holdable",
    "KeepRule",
    "LegRule",
    "Likeness",
    "Limits",
    "NamedRule",
    "PressureRule",
    "RuleCode",
    "Span",
    "Stance",
    "StartHold",
    "Touch",
    "Zone",
    "contradictions",
    "family",
    "sentence",
    "years_of",
]
