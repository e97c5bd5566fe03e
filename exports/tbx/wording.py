"""Words the sentences in the notes of TBX-Basic, in English."""

from collections.abc import Iterator, Mapping
from dataclasses import fields
from functools import cache
from typing import Final

from exports.tbx.tags import FIELDS, Fate
from termbase.evidence.scales import Evidence
from termbase.fields.declarations import Reference, fields_of
from termbase.judging.verdict import GripChange, Missing, Reason, Verdict
from termbase.judging.wording import to_words
from termbase.overviews.articles import Judged, Library
from termbase.record.entries import Analogue, Figure, Ruling
from termbase.record.trials import Trial
from termbase.rules.clauses import RuleCode
from termbase.technique.profile import Profile, Stated
from termbase.technique.words import describe

__all__ = ["Wording", "statements"]

_MOST_VERDICTS = 4096
_OPENING: Final = {
    "figure": ("caption",), "analogue": ("name",), "trial": ("date", "outcome"),
    "ruling": ("code_id", "verdict", "by", "on", "reason"),
}  # fmt: skip
"""How the text of each part begins."""
_CLASSES: Final = {"figure": Figure, "analogue": Analogue, "trial": Trial, "ruling": Ruling}
_LABELS: Final = {"maker": "made by", "safety": "safety measures"}
"""Label of a field in such a text, if its own label would be unclear."""


class Wording:
    """Words what TBX-Basic has no field for; each verdict is worded once and cached."""

    def __init__(self, library: Library) -> None:
        self._names = {code.id: code.name for code in library.codes}
        self._labels = {source.id: source.label for source in library.sources.values()}
        # By identity: articles share the same verdict objects, and hashing one is slow.
        self._verdicts: dict[int, tuple[Verdict, str]] = {}

    def verdict(self, judged: Judged) -> str:
        """Return code, verdict and reasons, with the clauses and sources of each."""
        verdict = judged.verdict
        cached = self._verdicts.get(id(verdict))
        if cached is None:
            if len(self._verdicts) >= _MOST_VERDICTS:
                self._verdicts.clear()
            cached = self._verdicts[id(verdict)] = (verdict, self._in_words(judged))
        return cached[1]

    def part(self, kind: str, part: Analogue | Figure | Ruling | Trial) -> tuple[str, tuple[str, ...]]:
        """Return a part of an entry as one text, its main field first; never who was on the mat at a trial.

        Returns:
            the text; and the fields in it, the main field first even if it is empty.
        """
        opening, worded, words_of = _OPENING[kind], _worded_fields(kind), {}
        for name, (_, to) in worded.items():
            if (value := getattr(part, name)) and (words := self._pointed_at(to, str(value))):
                words_of[name] = words
        if kind == "ruling":
            first = _ruling(words_of)
        else:
            first = ": ".join(words_of[name] for name in opening if name in words_of)
        more = tuple((worded[name][0], words) for name, words in words_of.items() if name not in opening)
        return _joined(first, more), tuple(dict.fromkeys((opening[0], *words_of)))

    def evidence(self, evidence: Evidence) -> str:
        """Return the level on the scale, then the reasons."""
        return f"{evidence.words}. {' '.join(evidence.reasons)}".rstrip()

    def technique(self, profile: Profile | None) -> str:
        """Return the technique described, then every stated attribute with its basis."""
        if profile is None:
            return ""
        stated = "; ".join(_stated(profile))
        described = f"{describe(profile)} [{stated}]" if stated else describe(profile)
        more = (("also called", ", ".join(profile.names)), ("note", profile.note))
        return _joined(described, more)

    def _pointed_at(self, to: str, value: str) -> str:
        """Return a value in words: for a source its label, for a rule code its name."""
        if to == "source":
            return self._labels.get(value, value)
        return self._names.get(value, value) if to == "code" else value

    def _in_words(self, judged: Judged) -> str:
        verdict = judged.verdict
        deciding: tuple[Reason | GripChange | Missing, ...] = (
            *verdict.breaches,
            *verdict.grips,
            *verdict.missing,
        ) or verdict.reasons
        form = " (left-handed form only)" if verdict.left_handed else ""
        sentences = (f"{to_words(each)}{self._cited(each, judged.code)}" for each in deciding)
        return " ".join((f"{judged.code.name}: {verdict.word}{form}.", *dict.fromkeys(sentences)))

    def _cited(self, reason: Reason | GripChange | Missing, code: RuleCode) -> str:
        """Return the clauses that a sentence rests on, with their sources, in brackets."""
        if isinstance(reason, Reason):
            clauses, sources = reason.clauses, reason.sources
        elif isinstance(reason, Missing) and reason.clause:
            clauses = (reason.clause,)
            sources = next((c.sources for c in code.clauses if c.id == reason.clause), ())
        else:
            return ""
        named = [f"clause {', '.join(clauses)}"] if clauses else []
        named += [self._labels.get(s, s) for s in sources]
        return f" [{'; '.join(named)}]" if named else ""


@cache
def _worded_fields(kind: str) -> Mapping[str, tuple[str, str]]:
    """Return the fields of a part that are worded, by name, with the label of each and what it refers to."""
    return {
        field.name: (
            _LABELS.get(field.name, str(field.word)),
            field.is_a.to if isinstance(field.is_a, Reference) else "",
        )
        for field in fields_of(_CLASSES[kind])
        if FIELDS[f"{kind}.{field.name}"].fate is Fate.NOTED
    }


def _ruling(words_of: Mapping[str, str]) -> str:
    """Return `Fair rules: fits, by A. Editor on 2020-01-02: reason`."""
    signed = " on ".join(words_of[name] for name in ("by", "on") if name in words_of)
    by = f", by {signed}" if signed else ""
    reason = f": {words_of['reason']}" if "reason" in words_of else ""
    return f"{words_of.get('code_id', '')}: {words_of.get('verdict', '')}{by}{reason}"


def _joined(first: str, more: tuple[tuple[str, str], ...]) -> str:
    rest = (f"{label}: {value}" for label, value in more if value)
    return "; ".join(filter(None, (first, *rest)))


def statements(profile: Profile) -> Iterator[tuple[str, str, Stated[object]]]:
    """Yield what a profile states: the hand, if any, the name of the point, the value."""
    for hand, part in (("right", profile.right), ("left", profile.left), ("", profile)):
        for field in fields(part):
            value: object = getattr(part, field.name)
            if isinstance(value, Stated):
                yield hand, field.name, value


def _stated(profile: Profile) -> Iterator[str]:
    for hand, point, stated in statements(profile):
        whose = f"{hand} hand " if hand else ""
        origin = f"{stated.basis} {stated.ref}".rstrip()
        yield f"{whose}{point.replace('_', ' ')}: {_value(stated.value)} ({origin})"


def _value(value: object) -> str:
    if isinstance(value, bool):
        return "yes" if value else "no"
    return " or ".join(map(str, value)) if isinstance(value, tuple) else str(value)
