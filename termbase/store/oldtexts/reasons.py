"""Reasons and problems as stored up to tables 0006: English sentences, and people's own words.

A person's own words were in “…” in the later of these versions, without quotation marks in earlier ones. A
sentence that names a person or a rule code counts only if that person or code exists: *by mistake* does not.
"""

import re
from collections.abc import Collection, Iterator, Mapping
from typing import Final

from termbase.store.oldtexts.acts import Kept, Sentence, Sentences

__all__ = ["aside_kept", "in_english", "part_in_english", "part_kept", "problem_kept", "reopened_kept"]

_PARTS: Final = (
    Sentence("headword", "line.part.headword"),
    Sentence("other spellings", "line.part.variants"),
    Sentence("part of speech", "line.part.part-of-speech"),
    Sentence("gender", "line.part.gender"),
    Sentence("number", "line.part.number"),
    Sentence("part of speech, gender or number", "line.part.labels"),
    Sentence("pronunciation", "line.part.pronunciation"),
    Sentence("style label", "line.part.style"),
    Sentence("inflected forms", "line.part.forms"),
    Sentence("explanation", "line.part.gloss"),
    Sentence("senses", "line.part.senses"),
    Sentence("equivalents", "line.part.equivalents"),
    Sentence("equivalent", "line.part.equivalent"),
    Sentence("phrase", "line.part.phrase"),
    Sentence("cross-reference", "line.part.see"),
    Sentence("note", "line.part.note"),
)
_PART: Final = {"part": Sentences(_PARTS)}
_WANTED: Final = (
    Sentence("the end of the line", "line.expected.end"),
    Sentence("a new line", "line.expected.new-line"),
    Sentence("a space", "line.expected.space"),
    Sentence("a wide gap", "line.expected.gap"),
    Sentence("a record", "line.expected.record"),
    Sentence("“%(sign)s”", "line.expected.sign"),
    Sentence("“%(sign)s” and then the %(part)s", "line.expected.sign.and-part", within=_PART),
    Sentence("the %(part)s", "line.expected.part", within=_PART),
)
_EXPECTED: Final = {"part": Sentences((*_WANTED, *_PARTS))}
_PROBLEMS: Final = (
    Sentence("There should be %(part)s here.", "line.problem.expected", within=_EXPECTED),
    Sentence(
        "There should be %(part)s here, but it says “%(words)s”.",
        "line.problem.expected.but",
        within=_EXPECTED,
    ),
    Sentence(
        "There should be %(part)s here, but the line ends.",
        "line.problem.expected.but-ends",
        within=_EXPECTED,
    ),
    Sentence("Nothing stands between two marks here.", "line.problem.nothing-between"),
    Sentence(
        "“%(word)s” looks like an abbreviation that the tables do not have.", "line.problem.abbreviation"
    ),
    Sentence("“%(word)s” is given twice.", "line.problem.label.twice"),
    Sentence("“%(word)s” is not in the tables of abbreviations.", "line.problem.label.unknown"),
    Sentence("Nothing is given for this sense.", "line.problem.sense.empty"),
    Sentence("Sense %(number)s comes after sense %(before)s.", "line.problem.sense.after"),
    Sentence("The senses begin with number %(number)s.", "line.problem.senses.begin"),
    Sentence("The bracket “%(sign)s” has no other half.", "line.problem.bracket"),
    Sentence("“%(word)s” is not in the list of parts of speech.", "line.problem.unlisted.part-of-speech"),
    Sentence("“%(word)s” is not in the list of genders.", "line.problem.unlisted.gender"),
    Sentence("“%(word)s” is not in the list of numbers.", "line.problem.unlisted.number"),
    Sentence("This is page furniture, not a record.", "line.problem.furniture"),
    Sentence("This is a blank line, not a record.", "line.problem.blank"),
    Sentence(
        "This record has %(n)s characters: the page is hardly cut as it should be.", "line.problem.too-long"
    ),
    Sentence(
        "This goes on with a record that began before: no record begins at the margin above it.",
        "line.problem.goes-on",
    ),
    Sentence("A ditto mark has no part of speech above it to repeat.", "line.problem.ditto.part-of-speech"),
    Sentence("A ditto mark has no style label above it to repeat.", "line.problem.ditto.style"),
    Sentence("A ditto mark has nothing above it to repeat.", "line.problem.ditto.nothing"),
)
_COVERED: Final = (
    Sentence("the names", "reading.covers.names"),
    Sentence("a definition", "reading.covers.definition"),
    Sentence("the usage note", "reading.covers.usage-note"),
    Sentence("the technique", "reading.covers.technique"),
    Sentence("the topic", "reading.covers.topic"),
    Sentence("a relation", "reading.covers.relation"),
    Sentence("an accepted note", "reading.covers.accepted-note"),
)
_REOPENED: Final = (
    Sentence(
        "%(what)s changed after it was signed",
        "reading.reopened.changed",
        within={"what": Sentences(_COVERED)},
    ),
    Sentence("%(entry)s was merged into it after it was signed", "reading.reopened.merged"),
    Sentence("it was parted from %(entry)s", "reading.reopened.parted"),
    Sentence("by %(person)s", "reading.reopened.by-hand"),
)
_VERDICTS: Final = (
    Sentence("fits", "verdict.fits"),
    Sentence("fits with a changed grip", "verdict.fits.changed-grip"),
    Sentence("breaks the rules", "verdict.breaks"),
    Sentence("open", "verdict.open"),
)
_VERDICT: Final = {"verdict": Sentences(_VERDICTS)}
_THROUGH: Final = (
    Sentence("made %(entries)s", "line.through.made"),
    Sentence("attached to %(entries)s", "line.through.attached"),
    Sentence("judged as %(entries)s: %(why)s", "line.through.resembles"),
)
_USUAL: Final = (
    Sentence("another sport", "line.aside.other-sport"),
    Sentence("illegible", "line.aside.illegible"),
    Sentence("repeated", "line.aside.repeated"),
    Sentence("too general", "line.aside.too-general"),
    Sentence("no name of a thing", "line.aside.no-name"),
    Sentence("another sport: %(sport)s", "line.aside.other-sport.named"),
    Sentence("another style, by its label “%(label)s”", "line.aside.other-style"),
)
_UNDER_A_CODE: Final = (
    Sentence(
        "another style, by its label “%(label)s”; the verdict under %(code)s is “%(verdict)s” (%(through)s)",
        "line.aside.other-style.but",
    ),
    Sentence("breaks the rules under %(code)s: %(why)s", "line.aside.breaks"),
    Sentence("breaks the rules under %(code)s, %(through)s: %(why)s", "line.aside.breaks.through"),
)
_IN_A_ROW: Final = (
    Sentence("%(number)s: %(why)s", "line.aside.of-sense"),
    Sentence("%(first)s; %(others)s", "line.aside.several"),
    Sentence("%(first)s / %(others)s", "verdict.several"),
)
_TEMPLATES: Final = {
    sentence.code: sentence.template
    for table in (
        *(_PARTS, _WANTED, _PROBLEMS, _COVERED, _REOPENED),
        *(_VERDICTS, _THROUGH, _USUAL, _UNDER_A_CODE, _IN_A_ROW),
    )
    for sentence in table
}
_READ_PROBLEMS, _READ_REOPENED, _READ_USUAL = Sentences(_PROBLEMS), Sentences(_REOPENED), Sentences(_USUAL)
_READ_VERDICT: Final = Sentences(_VERDICTS)
_ENTRY: Final = re.compile(r"c\d+")
_OF_SENSE: Final = re.compile(r"(\d{1,3}|[a-z]): (.*)", re.DOTALL)
_NEXT_SENSE: Final = re.compile(r"; (?=(?:\d{1,3}|[a-z]): (?:another style, by |breaks the rules under ))")
_THROUGH_ENTRIES: Final = re.compile(r"(made|attached to) (.*)|judged as (.*?): (.*)", re.DOTALL)
_BUT: Final = re.compile(
    r"another style, by its label “(.*?)”; the verdict under (.*) is “(.*?)” \((.*)\)", re.DOTALL
)


def reopened_kept(text: str, people: Collection[str]) -> Kept:
    """Return why a reading was opened again, in the current form.

    Args:
        text: the stored text.
        people: the names of all people that the termbase knows.
    """
    typed = _typed(text)
    if typed is not None:
        return typed
    found = _READ_REOPENED.read(text)
    values = _values(found)
    what = values.get("what")
    ours = (
        ("person" not in values or values["person"] in people)
        and ("entry" not in values or _ENTRY.fullmatch(str(values["entry"])) is not None)
        and (not isinstance(what, dict) or "code" in what)
    )
    return _letter_for_letter(found if ours else _own(text), text)


def problem_kept(text: str) -> Kept:
    """Return why a line could not be parsed, in the current form."""
    return _letter_for_letter(_READ_PROBLEMS.read(text), text)


def aside_kept(text: str, codes: Collection[str]) -> Kept:
    """Return why a line was set aside, in the current form.

    Args:
        text: the stored text.
        codes: the names of all current and former rule codes.
    """
    typed = _typed(text)
    if typed is not None:
        return typed
    return _letter_for_letter(_reason(text, codes) or _own(text), text)


def _reason(text: str, codes: Collection[str]) -> Kept:
    """Return the reason that a text matches; empty if it matches none."""
    pieces = _NEXT_SENSE.split(text)
    if len(pieces) > 1 or _OF_SENSE.fullmatch(text):
        return _of_senses(pieces, codes)
    found = _under_a_code(text, codes)
    if found:
        return found
    usual = _READ_USUAL.read(text)
    # the end of a longer sentence is not a label
    return usual if "code" in usual and "”; " not in str(_values(usual).get("label", "")) else {}


def _of_senses(pieces: list[str], codes: Collection[str]) -> Kept:
    made: Kept = {}
    for piece in reversed(pieces):
        numbered = _OF_SENSE.fullmatch(piece)
        why = _reason(numbered[2], codes) if numbered else {}
        if numbered is None or not why:
            return {}
        one: Kept = {"code": "line.aside.of-sense", "with": {"number": numbered[1], "why": why}}
        both: Kept = {"first": one, "others": made}
        made = {"code": "line.aside.several", "with": both} if made else one
    return made


def _under_a_code(text: str, codes: Collection[str]) -> Kept:
    but = _BUT.fullmatch(text)
    if but and but[2] in codes:
        values: dict[str, object] = {"label": but[1], "code": but[2], "verdict": _verdict(but[3])}
        return {"code": "line.aside.other-style.but", "with": values | {"through": _through(but[4])}}
    for name in sorted(codes, key=len, reverse=True):
        start = f"breaks the rules under {name}"
        if text.startswith(f"{start}: "):
            values = {"code": name, "why": text.removeprefix(f"{start}: ")}
            return {"code": "line.aside.breaks", "with": values}
        pieces = text.removeprefix(f"{start}, judged as ").split(": ", 2)
        if text.startswith(f"{start}, judged as ") and len(pieces) == 3:
            through = _through(f"judged as {pieces[0]}: {pieces[1]}")
            values = {"code": name, "through": through, "why": pieces[2]}
            return {"code": "line.aside.breaks.through", "with": values}
    return {}


def _verdict(text: str) -> Kept:
    first, between, others = text.partition(" / ")
    read = _READ_VERDICT.read(first)
    if not between:
        return read
    return {"code": "verdict.several", "with": {"first": read, "others": _verdict(others)}}


def _through(text: str) -> Kept:
    found = _THROUGH_ENTRIES.fullmatch(text)
    if found is None:
        return _own(text)
    if found[3] is not None:
        return {"code": "line.through.resembles", "with": {"entries": found[3], "why": found[4]}}
    code = "line.through.made" if found[1] == "made" else "line.through.attached"
    return {"code": code, "with": {"entries": found[2]}}


def _own(text: str) -> Kept:
    return {"text": text} if text else {}


def _typed(text: str) -> "Kept | None":
    """Return a person's own words if they are in “…”."""
    quoted = len(text) > 1 and text[0] == "“" and text[-1] == "”"
    return _own(text[1:-1]) if quoted else None


def _values(kept: Mapping[str, object]) -> dict[str, object]:
    values = kept.get("with")
    return values if isinstance(values, dict) else {}


def _letter_for_letter(kept: Kept, text: str) -> Kept:
    """Return the parsed form if it reproduces the text exactly; otherwise the text as own words."""
    return kept if in_english(kept) == text else _own(text)


def in_english(kept: Mapping[str, object]) -> str:
    """Return the current form as the old English sentence; a person's own words without quotation marks."""
    template = _TEMPLATES.get(str(kept.get("code", "")))
    if template is None:
        return str(kept.get("text") or kept.get("code") or "")
    values = _values(kept)
    return template % {name: in_english(v) if isinstance(v, dict) else v for name, v in values.items()}


# Parts of a line

_STEP: Final = re.compile(r"(sense|equivalent|phrase) (\d{1,9})(?: |$)")
_LISTS: Final = {"sense": "senses", "equivalent": "equivalents", "phrase": "phrases"}
_FIELDS: Final = {
    "part of speech": "part_of_speech",
    "other spellings": "variants",
    "inflected forms": "forms",
    "explanation": "gloss",
    "cross-reference": "see",
}


def part_kept(text: str) -> list[str | int]:
    """Return the part of a line that has a printed spelling, as a path; it was `sense 1 equivalent 2
    gender`."""
    path: list[str | int] = []
    rest = text
    while (step := _STEP.match(rest)) and int(step[2]) > 0 and step[2][0] != "0":
        path += [_LISTS[step[1]], int(step[2]) - 1]
        rest = rest[step.end() :]
    if rest:
        path.append(_FIELDS.get(rest, rest))
    return path


def part_in_english(path: list[str | int]) -> str:
    """Return the former name of a path."""
    return " ".join(_steps(path))


def _steps(path: list[str | int]) -> Iterator[str]:
    lists = {field: word for word, field in _LISTS.items()}
    words = {field: word for word, field in _FIELDS.items()}
    for n, step in enumerate(path):
        listed = isinstance(step, str) and n + 1 < len(path) and isinstance(path[n + 1], int)
        yield (
            str(step + 1)
            if isinstance(step, int)
            else lists.get(step, step)
            if listed
            else words.get(step, step)
        )
