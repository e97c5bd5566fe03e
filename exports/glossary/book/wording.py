"""The words and signs used in print: abbreviations, marks, one sentence for each level of evidence."""

import re
from functools import lru_cache
from typing import Final

from exports.figures import technique
from exports.glossary.book.book import Words
from termbase.dates.edtf import parse
from termbase.evidence.scales import Evidence, NameEvidence, NameScale
from termbase.judging.verdict import VerdictWord
from termbase.messages import joined, message, message_of_number
from termbase.record.entries import Gender, Number, Origin, PartOfSpeech, Register, Status, Term, TermType
from termbase.record.sources import Slip
from termbase.technique.profile import PRESSURES
from termbase.voice import Voice

__all__ = [
    "FORM_LABELS", "GENDERED_NOUNS", "GENDERS", "LOCATORS", "NAME_MARKS", "NAME_WORDS", "NUMBERS",
    "ORIGIN_SIGNS", "PARTS_OF_SPEECH", "VERDICT_MARKS",
    "date_order", "drafts_counted", "entries_counted", "evidence_words", "figure_words", "forms", "grammar",
    "labels", "name_scale", "place_in", "primary", "run_on", "words_of",
]  # fmt: skip

_BROKEN_WORD = re.compile(r"-[ \t]*\r?\n\s*")
_LINE_END = re.compile(r"[ \t]*\r?\n\s*")

PARTS_OF_SPEECH: Final[dict[PartOfSpeech, str]] = {
    PartOfSpeech.NOUN: message("n."),
    PartOfSpeech.VERB: message("v."),
    PartOfSpeech.VERBAL_NOUN: message("v.n."),
    PartOfSpeech.ADJECTIVE: message("adj."),
    PartOfSpeech.ADVERB: message("adv."),
    PartOfSpeech.PREPOSITION: message("prep."),
    PartOfSpeech.PRONOUN: message("pron."),
    PartOfSpeech.CONJUNCTION: message("conj."),
    PartOfSpeech.INTERJECTION: message("interj."),
    PartOfSpeech.NUMERAL: message("num."),
    PartOfSpeech.PHRASE: message("phr."),
}
GENDERS: Final[dict[Gender, str]] = {
    Gender.MASCULINE: message("m."),
    Gender.FEMININE: message("f."),
    Gender.BOTH: message("m./f."),
    Gender.NEUTER: message("neut."),
    Gender.COMMON: message("c."),
}
GENDERED_NOUNS: Final[dict[Gender, str]] = {
    Gender.MASCULINE: message("n.m."),
    Gender.FEMININE: message("n.f."),
    Gender.BOTH: message("n.m./f."),
    Gender.NEUTER: message("n.neut."),
    Gender.COMMON: message("n.c."),
}
"""A noun with its gender: some languages have one abbreviation for both (Welsh *eg.*, Irish *fir.*)."""

NUMBERS: Final[dict[Number, str]] = {
    Number.PLURAL: message("pl."),
    Number.DUAL: message("du."),
    Number.COLLECTIVE: message("coll."),
    Number.MASS: message("mass"),
}
FORM_LABELS: Final = {
    "plural": message("pl."),
    message("genitive"): message("gen."),
    "verbal noun": message("v.n."),
    "singular": message("sing."),
    "dual": message("du."),
}
LOCATORS: Final = {
    "page": message("p."),
    message("column"): message("col."),
    "line": message("l."),
    "entry": message("no."),
}
"""What comes before a page, column, line or item, by kind."""

NAME_MARKS: Final[dict[NameScale, str]] = {
    NameScale.SEVERAL: "●●",
    NameScale.ONE: "●",
    NameScale.QUOTED: "◐",
    NameScale.WORD_LIST: "○",
    NameScale.NONE: "–",
}
NAME_WORDS: Final[dict[NameScale, str]] = {
    NameScale.SEVERAL: message("several witnesses"),
    NameScale.ONE: message("one witness"),
    NameScale.QUOTED: message("quoted"),
    NameScale.WORD_LIST: message("word-list only"),
    NameScale.NONE: message("no slip"),
}
VERDICT_MARKS: Final[dict[VerdictWord, str]] = {
    VerdictWord.FITS: "■",
    VerdictWord.FITS_CHANGED: "◆",
    VerdictWord.BREAKS: "▼",
    VerdictWord.OPEN: "□",
}
ORIGIN_SIGNS: Final[dict[Origin, str]] = {
    Origin.IN_USE: "",
    Origin.WORD_LIST: "",
    Origin.REBUILT: "*",
    Origin.COINED: "‡",
    Origin.NOT_STATED: "",
}
_WORDS: Final = {
    "about": message("About this book"),
    "as_of": message("Record as of"),
    "also": message("also"),
    "see": message("see"),
    "printed": message("printed"),
    "caution": message("Caution."),
    "ruling": message("Ruling."),
    "tried": message("Trials:"),
    "elsewhere": message("Elsewhere:"),
    "fronts": message("fronts of sheet"),
    "backs": message("backs of sheet"),
    "no_cards": message("No techniques are described yet, so there are no cards."),
    "contents": message("Contents"),
    "landmarks": message("Landmarks"),
    "accessibility": message(
        "Every figure is described in words below it; marks always stand beside words that say the same."
    ),
}


def words_of(voice: Voice, **instead: str) -> Words:
    """Return the book's own words in one language; `instead` replaces the messages of some of them."""
    return Words(**{name: voice.say(text) for name, text in (_WORDS | instead).items()})


@lru_cache(maxsize=16)
def figure_words(voice: Voice) -> technique.Words:
    """Return the words in the figure of a technique."""
    return technique.Words(
        title=voice.say(message("Both wrestlers from above")),
        he=voice.say(message("he")),
        thrower=voice.say(message("thrower")),
        right=voice.say(message("R")),
        left=voice.say(message("L")),
        both_down=voice.say(message("both go down")),
        thrower_down=voice.say(message("thrower goes down first")),
        on_him=voice.say(message("thrower comes down on him")),
        grounded=voice.say(message("on the ground")),
        pressed=voice.say(message("pressure")),
        parts={part: voice.word(part) for part in PRESSURES},
    )


def primary(tag: str) -> str:
    """Return the language of a tag in the form that the typesetter uses: `ga` for `ga-Latg`; empty for
    private tags."""
    first = tag.split("-")[0].lower()
    return first if 2 <= len(first) <= 3 else ""


def grammar(term: Term, voice: Voice) -> str:
    """Return part of speech, gender and number, abbreviated: `n.f. pl.`"""
    number = NUMBERS.get(term.number, "") if term.number else ""
    if term.part_of_speech is PartOfSpeech.NOUN and term.gender:
        kind = voice.say(GENDERED_NOUNS[term.gender])
    else:
        kind = voice.say(PARTS_OF_SPEECH.get(term.part_of_speech, "")) if term.part_of_speech else ""
        kind += voice.say(GENDERS[term.gender]) if term.gender else ""
    return " ".join(filter(None, (kind, voice.say(number))))


def forms(term: Term, voice: Voice) -> tuple[tuple[str, str], ...]:
    """Return inflected forms with their labels abbreviated."""
    return tuple((voice.say(FORM_LABELS.get(f.label, f.label)), f.text) for f in term.forms)


def labels(term: Term, voice: Voice) -> str:
    """Return what limits the use of a name: kind of form, register, region, status."""
    limits = (
        voice.word(term.type.value) if term.type in (TermType.VARIANT, TermType.SHORT) else "",
        voice.word(term.register.value) if term.register and term.register is not Register.NEUTRAL else "",
        term.region,
        voice.word(term.status.value) if term.status in (Status.DEPRECATED, Status.SUPERSEDED) else "",
    )
    return ", ".join(filter(None, limits))


def evidence_words(evidence: NameEvidence, voice: Voice) -> str:
    """Return the evidence of a name in words, with its first and last year: `several witnesses, 1868–1902`.

    The years are those of the witnesses that the evidence rests on: a later word-list does not extend the
    time that a name was in use.
    """
    dated = [w.date for w in evidence.counted if w.date]
    words = voice.say(NAME_WORDS[name_scale(evidence)])
    if not dated:
        return words
    return f"{words}, {'–'.join(dict.fromkeys((_year(dated[0], voice), _year(dated[-1], voice))))}"


def place_in(slip: Slip, voice: Voice) -> str:
    """Return the place of a slip in its source: `p. 12, col. 3, l. 40`; empty if unknown."""
    stated = {"page": slip.page, "column": slip.column, "line": slip.line, "entry": slip.item}
    return ", ".join(f"{voice.say(LOCATORS[what])} {value}" for what, value in stated.items() if value)


def run_on(text: str) -> str:
    """Return verbatim text on one line: line ends of the source become strokes, nothing else is changed."""
    return _LINE_END.sub(" | ", _BROKEN_WORD.sub("-|", text.strip()))


def name_scale(evidence: Evidence) -> NameScale:
    """Return the level of a name's evidence."""
    return NameScale(evidence.scale)


@lru_cache(maxsize=8192)
def date_order(edtf: str) -> str:
    """Return the sort key of a date; items without a date come last."""
    return parse(edtf).sort_key() if edtf else "~"


def _year(edtf: str, voice: Voice) -> str:
    """Return the year of a plain date, otherwise the date in words."""
    plain = edtf[:4]
    if plain.isdigit() and (len(edtf) == 4 or edtf[4] == "-") and not set(edtf) & set("?~%X/"):
        return plain
    return voice.date(edtf)


def entries_counted(number: int, drafts: int) -> str:
    """Return the number of entries, and how many are marked as drafts, as a message."""
    entries = message_of_number("%(n)s entry", "%(n)s entries", number)
    return joined((entries, drafts_counted(drafts)), "")


def drafts_counted(number: int) -> str:
    """Return the number marked as drafts, to follow the total, as a message; empty if none."""
    if not number:
        return ""
    drafts = message_of_number("%(n)s of them marked as draft", "%(n)s of them marked as drafts", number)
    return joined((", ", drafts), "")
