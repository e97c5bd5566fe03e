"""The sentences that stand in notes, in English."""

from collections.abc import Iterator
from dataclasses import fields

from termbase.articles import Judged, Library
from termbase.entries import Analogue, Figure, Ruling
from termbase.evidence import Evidence
from termbase.judging import GripChange, Missing, Reason, Verdict, say
from termbase.rulecodes import RuleCode
from termbase.technique import Hand, Profile, Said, describe
from termbase.trials import Trial

__all__ = ["Wording"]

_MOST_VERDICTS = 4096


class Wording:
    """Puts what TBX-Basic has no place for into words; a verdict is worded once and remembered."""

    def __init__(self, library: Library) -> None:
        self._names = {code.id: code.name for code in library.codes}
        self._labels = {source.id: source.label for source in library.sources.values()}
        # By identity: the articles hand out the same verdict again and again, and hashing one is slow.
        self._verdicts: dict[int, tuple[Verdict, str]] = {}

    def verdict(self, judged: Judged) -> str:
        """Code, verdict, and what it rests on: each clause with its sources."""
        verdict = judged.verdict
        found = self._verdicts.get(id(verdict))
        if found is None:
            if len(self._verdicts) >= _MOST_VERDICTS:
                self._verdicts.clear()
            found = self._verdicts[id(verdict)] = (verdict, self._in_words(judged))
        return found[1]

    def ruling(self, ruling: Ruling) -> str:
        """`Fair rules: fits, by A. Editor on 2020-01-02: reason`."""
        signed = " on ".join(filter(None, (ruling.by, ruling.on)))
        by = f", by {signed}" if signed else ""
        reason = f": {ruling.reason}" if ruling.reason else ""
        return f"{self._names.get(ruling.code_id, ruling.code_id)}: {ruling.verdict}{by}{reason}"

    def figure(self, figure: Figure, source: str) -> str:
        """Caption, then who made it, the rights, and the source; empty where nothing is known."""
        more = (("made by", figure.maker), ("rights", figure.rights), ("source", source))
        return _joined(figure.caption, more)

    def analogue(self, analogue: Analogue, source: str) -> str:
        """Name, then language, style and source."""
        more = (("language", analogue.language), ("style", analogue.style), ("source", source))
        return _joined(analogue.name, more)

    def trial(self, trial: Trial) -> str:
        """Date and outcome, then place, rule code and what was done; never who was on the mat."""
        more = (
            ("place", trial.place),
            ("rule code", self._names.get(trial.code_id, trial.code_id)),
            ("holds", trial.holds),
            ("done", trial.done),
            ("change", trial.change),
            ("safety measures", trial.safety),
            ("injuries", trial.injuries),
        )
        return _joined(": ".join(filter(None, (trial.date, trial.outcome.value))), more)

    def evidence(self, evidence: Evidence) -> str:
        """The place on the scale, then the reasons."""
        return f"{evidence.words}. {' '.join(evidence.reasons)}".rstrip()

    def technique(self, profile: Profile | None) -> str:
        """The technique described, then every attribute stated, with where it is known from."""
        if profile is None:
            return ""
        parts = (("right hand ", profile.right), ("left hand ", profile.left), ("", profile))
        stated = "; ".join(each for whose, part in parts for each in _stated(part, whose))
        described = f"{describe(profile)} [{stated}]" if stated else describe(profile)
        more = (("also called", ", ".join(profile.names)), ("note", profile.note))
        return _joined(described, more)

    def _in_words(self, judged: Judged) -> str:
        verdict = judged.verdict
        deciding: tuple[Reason | GripChange | Missing, ...] = (
            *verdict.breaches,
            *verdict.grips,
            *verdict.missing,
        ) or verdict.reasons
        form = " (left-handed form only)" if verdict.left_handed else ""
        said = (f"{say(each)}{self._cited(each, judged.code)}" for each in deciding)
        return " ".join((f"{judged.code.name}: {verdict.word}{form}.", *dict.fromkeys(said)))

    def _cited(self, said: Reason | GripChange | Missing, code: RuleCode) -> str:
        """The clauses that a sentence rests on, with their sources, in brackets."""
        if isinstance(said, Reason):
            clauses, sources = said.clauses, said.sources
        elif isinstance(said, Missing) and said.clause:
            clauses = (said.clause,)
            sources = next((c.sources for c in code.clauses if c.id == said.clause), ())
        else:
            return ""
        named = [f"clause {', '.join(clauses)}"] if clauses else []
        named += [self._labels.get(s, s) for s in sources]
        return f" [{'; '.join(named)}]" if named else ""


def _joined(first: str, more: tuple[tuple[str, str], ...]) -> str:
    rest = (f"{label}: {value}" for label, value in more if value)
    return "; ".join(filter(None, (first, *rest)))


def _stated(part: Profile | Hand, whose: str) -> Iterator[str]:
    for field in fields(part):
        said: object = getattr(part, field.name)
        if isinstance(said, Said):
            origin = f"{said.basis} {said.ref}".rstrip()
            yield f"{whose}{field.name.replace('_', ' ')}: {_value(said.value)} ({origin})"


def _value(value: object) -> str:
    if isinstance(value, bool):
        return "yes" if value else "no"
    return " or ".join(map(str, value)) if isinstance(value, tuple) else str(value)
