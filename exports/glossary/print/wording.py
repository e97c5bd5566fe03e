"""The words and signs of print: abbreviations, marks, one sentence for each thing the record proves."""

import re
from functools import lru_cache

from termbase.dates import parse, readable
from termbase.entries import Gender, Number, Origin, PartOfSpeech, Register, Status, Term, TermType
from termbase.evidence import Evidence, NameScale, Witness
from termbase.judging.verdict import VerdictWord
from termbase.sources import Certainty, Slip, SlipKind

__all__ = [
    "FORM_LABELS", "GENDERS", "NAME_MARKS", "NAME_WORDS", "NUMBERS", "ORIGIN_SIGNS", "PARTS_OF_SPEECH",
    "VERDICT_MARKS",
    "date_order", "date_words", "evidence_words", "forms", "grammar", "labels", "name_scale", "primary",
    "run_on",
]  # fmt: skip

_BROKEN_WORD = re.compile(r"-[ \t]*\r?\n\s*")
_LINE_END = re.compile(r"[ \t]*\r?\n\s*")

PARTS_OF_SPEECH: dict[PartOfSpeech, str] = {
    PartOfSpeech.NOUN: "n.",
    PartOfSpeech.VERB: "v.",
    PartOfSpeech.VERBAL_NOUN: "v.n.",
    PartOfSpeech.ADJECTIVE: "adj.",
    PartOfSpeech.ADVERB: "adv.",
    PartOfSpeech.PREPOSITION: "prep.",
    PartOfSpeech.PRONOUN: "pron.",
    PartOfSpeech.CONJUNCTION: "conj.",
    PartOfSpeech.INTERJECTION: "interj.",
    PartOfSpeech.NUMERAL: "num.",
    PartOfSpeech.PHRASE: "phr.",
}
GENDERS: dict[Gender, str] = {
    Gender.MASCULINE: "m.",
    Gender.FEMININE: "f.",
    Gender.BOTH: "m./f.",
    Gender.NEUTER: "neut.",
    Gender.COMMON: "c.",
}
NUMBERS: dict[Number, str] = {
    Number.PLURAL: "pl.",
    Number.DUAL: "du.",
    Number.COLLECTIVE: "coll.",
    Number.MASS: "mass",
}
FORM_LABELS = {"plural": "pl.", "genitive": "gen.", "verbal noun": "v.n.", "singular": "sing.", "dual": "du."}

NAME_MARKS: dict[NameScale, str] = {
    NameScale.SEVERAL: "●●",
    NameScale.ONE: "●",
    NameScale.WORD_LIST: "○",
    NameScale.NONE: "–",
}
NAME_WORDS: dict[NameScale, str] = {
    NameScale.SEVERAL: "several witnesses",
    NameScale.ONE: "one witness",
    NameScale.WORD_LIST: "word-list only",
    NameScale.NONE: "no slip",
}
VERDICT_MARKS: dict[VerdictWord, str] = {
    "fits": "■",
    "fits with a changed grip": "◆",
    "breaks the rules": "▼",
    "open": "□",
}
ORIGIN_SIGNS: dict[Origin, str] = {
    Origin.IN_USE: "",
    Origin.WORD_LIST: "",
    Origin.REBUILT: "*",
    Origin.COINED: "‡",
}


def primary(tag: str) -> str:
    """The language of a tag as the typesetter takes it: `ga` of `ga-Latg`; empty for private tags."""
    first = tag.split("-")[0].lower()
    return first if 2 <= len(first) <= 3 else ""


def grammar(term: Term) -> str:
    """Word class, gender and number, abbreviated: `n.f. pl.`"""
    pieces = (
        PARTS_OF_SPEECH.get(term.part_of_speech, "") if term.part_of_speech else "",
        GENDERS[term.gender] if term.gender else "",
        NUMBERS.get(term.number, "") if term.number else "",
    )
    return " ".join(filter(None, ("".join(pieces[:2]), pieces[2])))


def forms(term: Term) -> tuple[tuple[str, str], ...]:
    """Inflected forms with their labels abbreviated."""
    return tuple((FORM_LABELS.get(f.label, f.label), f.text) for f in term.forms)


def labels(term: Term) -> str:
    """What limits the use of a name: kind of form, register, region, status."""
    said = (
        term.type.value if term.type in (TermType.VARIANT, TermType.SHORT) else "",
        term.register.value if term.register and term.register is not Register.NEUTRAL else "",
        term.region,
        term.status.value if term.status in (Status.DEPRECATED, Status.SUPERSEDED) else "",
    )
    return ", ".join(filter(None, said))


@lru_cache(maxsize=8192)
def date_words(edtf: str) -> str:
    """An EDTF date in English; empty for none."""
    return readable(parse(edtf)) if edtf else ""


def evidence_words(evidence: Evidence, witnesses: tuple[Witness, ...], slips: tuple[Slip, ...]) -> str:
    """The evidence of a name in words, with its first and last year: `several witnesses, 1868–1902`.

    Where a name was in use, the years are of its use: a later word-list does not lengthen them.
    """
    used = {s.id for s in slips if s.kind is not SlipKind.HEADWORD and s.certainty is not Certainty.DOUBTFUL}
    told = [w for w in witnesses if used.intersection(w.slip_ids)] or list(witnesses)
    dated = [w.date for w in told if w.date]
    said = NAME_WORDS[name_scale(evidence)]
    if not dated:
        return said
    return f"{said}, {'–'.join(dict.fromkeys((_year(dated[0]), _year(dated[-1]))))}"


def run_on(text: str) -> str:
    """Verbatim text on one line: a line end of the source becomes a stroke, nothing else is changed."""
    return _LINE_END.sub(" | ", _BROKEN_WORD.sub("-|", text.strip()))


def name_scale(evidence: Evidence) -> NameScale:
    """The scale of a name's evidence."""
    return NameScale(evidence.scale)


@lru_cache(maxsize=8192)
def date_order(edtf: str) -> str:
    """Sort key of a date; what has none comes last."""
    return parse(edtf).sort_key() if edtf else "~"


def _year(edtf: str) -> str:
    """The year of a plain date, else the date in words."""
    plain = edtf[:4]
    if plain.isdigit() and (len(edtf) == 4 or edtf[4] == "-") and not set(edtf) & set("?~%X/"):
        return plain
    return date_words(edtf)
