"""Judging a technique under a rule code. Pure: the same inputs give the same verdict and the same words.

Public face, to come to it in order: `judge` one profile under one code, `judge_many` for a matrix,
`smallest_change` for what would turn a verdict, `say` for the words.
"""

from termbase.judging.deciding import judge, judge_many
from termbase.judging.verdict import (
    UNKNOWN,
    VERDICT_WORDS,
    Change,
    Circumstances,
    Edit,
    GripChange,
    Missing,
    MissingKind,
    Params,
    Reason,
    Verdict,
    VerdictWord,
)

__all__ = [
    "UNKNOWN",
    "VERDICT_WORDS",
    "Change",
    "Circumstances",
    "Edit",
    "GripChange",
    "Missing",
    "MissingKind",
    "Params",
    "Reason",
    "Verdict",
    "VerdictWord",
    "judge",
    "judge_many",
]
