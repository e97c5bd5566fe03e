"""Verdicts with the clauses they rest on, and the rule codes in their own words."""

from collections.abc import Iterable, Iterator, Mapping, Sequence
from typing import Final

from exports.glossary.book import wording
from exports.glossary.book.book import ClauseText, CodeText, Judgement, Selection
from termbase.judging.verdict import Missing, Reason, Verdict, VerdictWord
from termbase.judging.wording import to_words
from termbase.messages import message, message_of_number
from termbase.overviews import articles as record
from termbase.record.entries import Ruling
from termbase.record.sources import Source
from termbase.rules.clauses import AnyClause, RuleCode
from termbase.voice import Voice

__all__ = ["barred_words", "chosen_codes", "code_about", "code_texts", "judged_of", "judgements"]

WORDS_NOT_RECORDED: Final = message("The source's own words are not recorded.")


def chosen_codes(library: record.Library, selection: Selection) -> list[RuleCode]:
    """Return the rule codes that are printed."""
    return [code for code in library.codes if selection.codes is None or code.id in selection.codes]


def judged_of(original: record.Article, selection: Selection) -> Iterator[record.Judged]:
    """Return the verdicts that are printed, in order."""
    by_code = {j.code.id: j for j in original.judged}
    wanted = by_code if selection.codes is None else selection.codes
    return (by_code[code_id] for code_id in wanted if code_id in by_code)


def judgements(
    original: record.Article, library: record.Library, selection: Selection
) -> Iterator[Judgement]:
    """Yield the verdicts in words, each reason with the number of its clause and the clause's source."""
    voice = selection.voice
    for judged in judged_of(original, selection):
        verdict, ruling = judged.verdict, judged.ruling
        yield Judgement(
            code=judged.code.name,
            code_id=judged.code.id,
            word=voice.word(verdict.word),
            mark=wording.VERDICT_MARKS[verdict.word],
            says=tuple(dict.fromkeys(_reasons(judged, library.sources, voice))),
            ruling=_ruled(ruling, voice) if ruling else "",
        )


def barred_words(verdict: Verdict, voice: Voice) -> tuple[str, ...]:
    """Return what is broken and which grips to change, without clauses, for the description of a figure."""
    words = voice.verdict_wording
    return (
        *(to_words(reason, words) for reason in verdict.breaches),
        *(to_words(grip, words) for grip in verdict.grips),
    )


def code_texts(
    codes: Iterable[RuleCode], sources: Mapping[str, Source], voice: Voice
) -> tuple[CodeText, ...]:
    """Return rule codes clause by clause: number, the source's words, the source, what verdicts rest on."""
    return tuple(
        CodeText(
            id=code.id,
            name=code.name,
            about=code_about(code, sources, voice),
            clauses=tuple(_clause(clause, sources, voice) for clause in code.clauses),
        )
        for code in codes
    )


def code_about(code: RuleCode, sources: Mapping[str, Source], voice: Voice, *, counted: bool = False) -> str:
    """Return where and when a code applied, and the sources it is known from; one sentence, or empty."""
    named = ", ".join(_labels(code.sources, sources))
    parts = (
        code.place,
        voice.date(code.period),
        voice.say(message_of_number("%(n)s clause", "%(n)s clauses", len(code.clauses))) if counted else "",
        voice.say(message("from %(sources)s", sources=named)) if named else "",
    )
    about = "; ".join(filter(None, parts))
    return f"{about}." if about else ""


def _clause(clause: AnyClause, sources: Mapping[str, Source], voice: Voice) -> ClauseText:
    known = [sources[source] for source in clause.sources if source in sources]
    return ClauseText(
        number=clause.id,
        words=clause.words,
        lang=wording.primary(known[0].language) if known else "",
        source=", ".join(_labels(clause.sources, sources)),
        says=voice.clause(clause),
        unsaid="" if clause.words else voice.say(WORDS_NOT_RECORDED),
    )


def _reasons(judged: record.Judged, sources: Mapping[str, Source], voice: Voice) -> Iterator[str]:
    """Yield what is broken, which grips to change, what to find out; otherwise the clauses that are met."""
    words, verdict = voice.verdict_wording, judged.verdict
    for reason in verdict.breaches:
        yield f"{to_words(reason, words)}{_cited(reason.clauses, reason.sources, sources)}"
    for grip in verdict.grips:
        yield to_words(grip, words)
    for gap in verdict.missing:
        yield f"{to_words(gap, words)}{_cited_gap(gap, judged.code, sources)}"
    if verdict.word is VerdictWord.FITS:
        met = [reason for reason in verdict.reasons if reason.truth and reason.clauses]
        if met:
            yield voice.say(message("Clauses met: %(clauses)s.", clauses=_all_cited(met, sources)))


def _cited_gap(gap: Missing, code: RuleCode, sources: Mapping[str, Source]) -> str:
    clause = next((each for each in code.clauses if each.id == gap.clause), None)
    return _cited((clause.id,), clause.sources, sources) if clause else ""


def _cited(clauses: Sequence[str], of: Sequence[str], sources: Mapping[str, Source]) -> str:
    """Return clauses with their sources, in brackets after a sentence; empty if there are none."""
    if not clauses:
        return ""
    labels = ", ".join(_labels(of, sources))
    return f" [{', '.join(dict.fromkeys(clauses))}{f': {labels}' if labels else ''}]"


def _all_cited(reasons: Iterable[Reason], sources: Mapping[str, Source]) -> str:
    """Return clauses by their sources: `F2, F5: Fair rules 1868`."""
    by_source: dict[str, dict[str, None]] = {}
    for reason in reasons:
        by_source.setdefault(", ".join(_labels(reason.sources, sources)), {}).update(
            dict.fromkeys(reason.clauses)
        )
    return "; ".join(
        f"{', '.join(clauses)}{f': {labels}' if labels else ''}" for labels, clauses in by_source.items()
    )


def _labels(ids: Sequence[str], sources: Mapping[str, Source]) -> tuple[str, ...]:
    """Return sources by their labels; a code from a file may use its own labels."""
    return tuple(dict.fromkeys(sources[each].label if each in sources else each for each in ids))


def _ruled(ruling: Ruling, voice: Voice) -> str:
    return voice.say(
        message(
            "Ruled %(verdict)s by %(by)s, %(date)s: %(reason)s",
            verdict=voice.word(ruling.verdict),
            by=ruling.by,
            date=voice.date(ruling.on),
            reason=ruling.reason,
        )
    )
