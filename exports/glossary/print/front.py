"""The front matter: the cautions, what the signs mean, how the rules were judged, the abbreviations."""

from collections.abc import Sequence

from exports.glossary.print.book import Front, KeyLine
from exports.glossary.print.wording import (
    FORM_LABELS,
    GENDERS,
    NAME_MARKS,
    NUMBERS,
    ORIGIN_SIGNS,
    PARTS_OF_SPEECH,
    VERDICT_MARKS,
    date_words,
)
from termbase.cautions import OWN_CAUTIONS
from termbase.entries import Origin
from termbase.evidence import NameScale
from termbase.people import CAUTIONS
from termbase.rulecodes import RuleCode
from termbase.sources import Source

__all__ = ["front_matter"]

_KINDS = {"joint": "Joints", "neck": "Neck", "lift": "Lifts", "kick": "Kicks", "young": "Young people"}
_ORIGINS = {
    Origin.IN_USE: "somebody wrote or said it of a bout",
    Origin.WORD_LIST: "a dictionary or list gives it; nobody is known to have used it",
    Origin.REBUILT: "put together now from recorded parts; the name stands after *",
    Origin.COINED: "made now; the name stands after ‡",
}
_VERDICTS = {
    "fits": "every clause that applies is met",
    "fits with a changed grip": "as described a hand breaks a clause, but the same work can be done from an "
    "allowed place, which is named",
    "breaks the rules": "a clause is broken whatever grip is taken",
    "open": "it cannot be told yet; what has to be found out is named",
}


_FIGURES = (
    "Both are seen from above. The thrower is shaded, with a full head; he is hollow. The point on the head "
    "is the nose.",
    "A full disc with R or L is where the thrower’s right or left hand holds, a small ring another place "
    "that will do. An arrow by a hand is a pull or a push, two arrow heads steer, a ring with a dot lifts, a "
    "second ring locks.",
    "The thick line is the leg that works on him: a bar blocks, a hook goes round, a curved arrow sweeps or "
    "reaps, flying strokes are a kick.",
    "The long arrow is where he is broken to, the dashed outline where he comes to lie; a ring with a dot on "
    "him: he is lifted. What is dashed or missing is not stated. The same stands in words beneath.",
)


def front_matter(
    codes: Sequence[RuleCode], sources: dict[str, Source], drafts: bool, figures: bool = False
) -> tuple[Front, ...]:
    """The sections before the articles, in order; `drafts` and `figures`: whether the book has any."""
    figured = (Front("How to read a figure", _FIGURES),) if figures else ()
    rules = _rules(codes, sources)
    return (_cautions(), _reading(drafts), *figured, _evidence(), *rules, _abbreviations())


def _cautions() -> Front:
    lines = tuple(
        KeyLine(_KINDS[kind], _sentence(text.removeprefix("Young people: ")))
        for kind, text in OWN_CAUTIONS.items()
    )
    return Front(
        "Cautions",
        (CAUTIONS, "Some techniques carry a line of their own in their article:"),
        lines,
    )


def _sentence(text: str) -> str:
    return text[:1].upper() + text[1:]


def _reading(drafts: bool) -> Front:
    lines = [KeyLine(_signed(o), text) for o, text in _ORIGINS.items()]
    paragraphs = [
        "Names stand in the order of the alphabet of their own language. After each name come its grammar, "
        "its origin in small capitals, and the mark of its evidence. A name that is a guess is never shown "
        "as a record: it carries a sign and the word that says so. Quotations are verbatim; a stroke | "
        "stands for the end of a line."
    ]
    if drafts:
        paragraphs.append(
            "An article marked draft has not been read for language and for practice; it may change or go."
        )
    return Front("How to read an article", tuple(paragraphs), tuple(lines))


def _signed(origin: Origin) -> str:
    return f"{ORIGIN_SIGNS[origin]}{origin.value}"


def _evidence() -> Front:
    told = {
        NameScale.SEVERAL: "in use by several independent witnesses",
        NameScale.ONE: "in use by one witness",
        NameScale.WORD_LIST: "in a word-list only",
        NameScale.NONE: "no slip bears witness to it",
    }
    return Front(
        "What the marks of evidence mean",
        (
            "Papers of the day reprinted one another, so near-identical texts count as one witness; "
            "years are of witnesses. The mechanic is described, pictured, inferred from an analogue, or not "
            "described; the practice is what trials on the mat showed. A trial that works says nothing about "
            "safety.",
        ),
        tuple(KeyLine(NAME_MARKS[scale], text) for scale, text in told.items()),
    )


def _rules(codes: Sequence[RuleCode], sources: dict[str, Source]) -> tuple[Front, ...]:
    if not codes:
        return ()
    verdicts = tuple(KeyLine(f"{VERDICT_MARKS[w]} {w}", text) for w, text in _VERDICTS.items())  # type: ignore[index]
    listed = tuple(KeyLine(code.name, _code(code, sources)) for code in codes)
    return (
        Front(
            "How the rules were judged",
            (
                "Each technique was set against each rule code below, clause by clause, from what its slips, "
                "trials and analogues say of hands, legs, falls and pressure. Nothing was guessed: where the "
                "profile or the code is silent on what decides, the verdict is open. An editor’s ruling over "
                "a verdict is printed beside it. Within the rules does not mean safe.",
            ),
            verdicts,
        ),
        Front("The rule codes", (), listed),
    )


def _code(code: RuleCode, sources: dict[str, Source]) -> str:
    named = ", ".join(sources[s].label if s in sources else s for s in code.sources)
    number = len(code.clauses)
    parts = (
        code.place,
        date_words(code.period),
        f"{number} clause{'' if number == 1 else 's'}",
        f"from {named}" if named else "",
    )
    return "; ".join(filter(None, parts)) + "."


def _abbreviations() -> Front:
    pairs = {short: long.value for long, short in PARTS_OF_SPEECH.items()}
    pairs |= {short: long.value for long, short in GENDERS.items()}
    pairs |= {short: long for long, short in FORM_LABELS.items()}
    pairs |= {short: long.value for long, short in NUMBERS.items()}
    pairs |= {"col.": "column", "l.": "line", "no.": "entry", "p.": "page"}
    return Front(
        "Abbreviations",
        (),
        tuple(KeyLine(short, pairs[short]) for short in sorted(pairs) if short != pairs[short]),
    )
