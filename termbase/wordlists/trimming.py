"""Judge the lines of a word-list under a rule code: which to keep, which to set aside and why, which are
open.

Pure functions: lines in, judged lines out. A line is judged sense by sense, through the entry it belongs to
or else the entry it certainly resembles; anything not on record is open and says what to find out.
`termbase.acts.trimming` reads the lines from the record and sets them aside.
"""

import re
from collections.abc import Collection, Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from enum import StrEnum
from typing import Final

from termbase.codes.lines import Aside, Through, VerdictName
from termbase.codes.wording import statement_text
from termbase.fields.notes import NOTHING_SAID, Code, CodedText, own_words
from termbase.judging.verdict import Verdict, VerdictWord
from termbase.judging.wording import ENGLISH, Wording, to_words
from termbase.messages import joined, message, without_full_stop
from termbase.record.entries import Ruling, Topic
from termbase.record.lines import ParsedLine
from termbase.record.pages import Line, LineState

__all__ = [
    "NOTE_WORDINGS",
    "Group",
    "JudgedLine",
    "JudgedSense",
    "LineLink",
    "LinkKind",
    "Standing",
    "filter_lines",
    "has_note",
    "labels_of",
    "note_text",
    "reason_set_aside",
    "sense_link_text",
    "sense_reason_set_aside",
    "senses_judged",
    "standing_reasons",
    "trimmed_line",
    "verdict_words",
    "what_to_find_out",
    "with_other_styles",
]  # fmt: skip


class Group(StrEnum):
    """What the code means for a line."""

    GOES = "goes"
    OPEN = "open"
    STAYS = "stays"


class LinkKind(StrEnum):
    """How a line is linked to the entry it is judged through."""

    NONE = ""
    MADE = "made"
    ATTACHED = "attached"
    RESEMBLES = "resembles"


_THROUGH: Final = {
    LinkKind.MADE: Through.MADE, LinkKind.ATTACHED: Through.ATTACHED, LinkKind.RESEMBLES: Through.RESEMBLES,
}  # fmt: skip
_VERDICTS: Final[dict[str, CodedText]] = {
    verdict.one: verdict() for verdict in VerdictName if not verdict.places
}
_GROUPS: dict[str, Group] = {
    VerdictWord.FITS: Group.STAYS,
    VerdictWord.FITS_CHANGED: Group.STAYS,
    VerdictWord.BREAKS: Group.GOES,
    VerdictWord.OPEN: Group.OPEN,
}
_NO_TECHNIQUE = frozenset({Topic.PERSON, Topic.GARMENT, Topic.GROUND, Topic.BOUT, Topic.FALL})
"""Topics that are not actions, so no rule code can judge them."""
_NOTE: Final = "Trimmed: %(why)s (%(place)s)"
NOTE_WORDINGS: Final[dict[str, tuple[str, ...]]] = {
    Aside.OTHER_STYLE.value: ("another style, according to its label “%(label)s”",),
    Aside.OTHER_STYLE_BUT.value: (
        "another style, according to its label “%(label)s”; the verdict under %(code)s is "
        "“%(verdict)s” (%(through)s)",
    ),
    Aside.BREAKS.value: ("breaks the rules under %(code)s: %(why)s",),
    Aside.BREAKS_THROUGH.value: ("breaks the rules under %(code)s, %(through)s: %(why)s",),
    Aside.OF_SENSE.value: ("%(number)s: %(why)s",),
}
"""Every sentence in which a note may have been written, by code: add to it when a sentence changes, and never
remove one. Notes are plain text in entries, and are recognised by these."""
_REWORDABLE: Final = frozenset({"why", "through", "verdict"})
"""Values that are sentences, which a later version may word differently."""


@dataclass(frozen=True, slots=True)
class Standing:
    """An entry under the code.

    Attributes:
        entry_id: the entry.
        name: its name in the language of the headwords, for the screen.
        topic: what kind of thing it is, if stated.
        verdict: on its technique; None if no technique is described.
        ruling: the editor's ruling over the verdict, if any.
    """

    entry_id: str
    name: str
    topic: Topic | None = None
    verdict: Verdict | None = None
    ruling: Ruling | None = None

    @property
    def word(self) -> VerdictWord | str:
        """The final verdict: the ruling if there is one, *open* if nothing was judged."""
        if self.ruling is not None:
            return self.ruling.verdict
        return self.verdict.word if self.verdict is not None else VerdictWord.OPEN

    @property
    def lot(self) -> Group:
        """The group that the verdict puts it in."""
        return _GROUPS.get(self.word, Group.OPEN)


@dataclass(frozen=True, slots=True)
class LineLink:
    """What links one sense of a line to entries.

    Attributes:
        bond: how it is linked; `LinkKind.NONE` if it is not.
        entry_ids: the entry; several only if the sense resembles them equally.
        why: what is alike, in words.
        whole: whether everything that can be compared agrees; False if the headword is the same and the
            equivalents are not.
    """

    bond: LinkKind = LinkKind.NONE
    entry_ids: tuple[str, ...] = ()
    why: str = ""
    whole: bool = True


@dataclass(frozen=True, slots=True)
class JudgedSense:
    """One sense of a line (or the whole of it) under the code.

    Attributes:
        number: as printed; empty if the line has only one sense.
        label: its style label, as parsed by the list's pattern.
        other_style: whether somebody marked this label as another style.
        tie: the link it is judged through.
        standings: the linked entries, judged.
    """

    number: str
    label: str
    other_style: bool
    tie: LineLink
    standings: tuple[Standing, ...] = ()

    @property
    def contradicted(self) -> bool:
        """Whether its label was marked as another style although it fits under the code."""
        return self.other_style and any(s.lot is Group.STAYS for s in self.standings)

    @property
    def lot(self) -> Group:
        """GOES if its label was marked as another style; otherwise the group of its entries, or open if they
        differ."""
        if self.other_style:
            return Group.GOES
        lots = {s.lot for s in self.standings}
        return lots.pop() if len(lots) == 1 else Group.OPEN


@dataclass(frozen=True, slots=True)
class JudgedLine:
    """A line under the code."""

    line: Line
    senses: tuple[JudgedSense, ...]

    @property
    def lot(self) -> Group:
        """STAYS if any sense does, GOES if every sense does, otherwise open."""
        lots = {s.lot for s in self.senses}
        if Group.STAYS in lots:
            return Group.STAYS
        return Group.GOES if lots == {Group.GOES} else Group.OPEN

    @property
    def in_entries(self) -> bool:
        """Whether the line belongs to entries; trimming then never sets it aside."""
        return bool(self.line.entry_ids)

    @property
    def set_aside(self) -> bool:
        """Whether it is set aside already."""
        return self.line.state is LineState.SET_ASIDE

    @property
    def certain(self) -> bool:
        """Whether it may be set aside in bulk, without a check.

        True if nothing depends on the headword alone and no verdict contradicts its label.
        """
        return all(not s.contradicted and (s.other_style or s.tie.whole) for s in self.senses)

    @property
    def contradicted(self) -> bool:
        """Whether the label of one of its senses is contradicted by a verdict."""
        return any(s.contradicted for s in self.senses)


def senses_judged(
    parsed: ParsedLine | None, ties: Sequence[LineLink], standings: Mapping[str, Standing]
) -> tuple[JudgedSense, ...]:
    """Judge the senses of a line.

    Args:
        parsed: the parsed line; None if it could not be parsed.
        ties: one link for each sense, or one for the whole line.
        standings: entries under the code, by id.
    """
    labels = labels_of(parsed)
    senses = parsed.senses if parsed is not None else ()
    judged = []
    for place, tie in enumerate(ties):
        whole = len(ties) == 1
        label = (labels[0] if len(set(labels)) == 1 else "") if whole else labels[place]
        number = "" if whole else senses[place].number or str(place + 1)
        known = tuple(standings[i] for i in tie.entry_ids if i in standings)
        judged.append(JudgedSense(number, label, False, tie, known))
    return tuple(judged)


def trimmed_line(line: Line, ties: Sequence[LineLink], standings: Mapping[str, Standing]) -> JudgedLine:
    """Judge a line under the code; see `senses_judged`."""
    return JudgedLine(line, senses_judged(line.parsed, ties, standings))


def with_other_styles(judged: JudgedLine, other_styles: Collection[str]) -> JudgedLine:
    """Return the line with these style labels marked as another style.

    Labels of a line that was not read cleanly are ignored.
    """
    if judged.line.state is LineState.UNPARSED or not any(s.label in other_styles for s in judged.senses):
        return judged
    senses = (replace(s, other_style=bool(s.label) and s.label in other_styles) for s in judged.senses)
    return replace(judged, senses=tuple(senses))


def labels_of(parsed: ParsedLine | None) -> tuple[str, ...]:
    """Return the style label of each sense of a line, empty if it has none; one for a line without senses."""
    if parsed is None:
        return ("",)
    return tuple(sense.style or parsed.style for sense in parsed.senses) or (parsed.style,)


def filter_lines(
    lines: Iterable[JudgedLine], *, lot: str = "", label: str = "", holding: str = "", entries: str = ""
) -> tuple[JudgedLine, ...]:
    """Filter lines by group, style label, text, and whether they are in entries (`yes` or `no`); an empty
    argument filters nothing."""
    wanted = holding.casefold()
    return tuple(
        line
        for line in lines
        if (not lot or line.lot.value == lot)
        and (not label or any(s.label == label for s in line.senses))
        and (not wanted or wanted in line.line.text.casefold())
        and (not entries or line.in_entries == (entries == "yes"))
    )


def standing_reasons(standing: Standing, wording: Wording = ENGLISH) -> tuple[str, ...]:
    """Return why an entry has its verdict, one sentence each: a ruling and its reason, every breach, the
    grips to change, or what to find out. The wording puts the verdict into words."""
    verdict, ruling = standing.verdict, standing.ruling
    reasons: list[str] = []
    if ruling is not None:
        reasons.append(message("Ruled by %(person)s: %(reason)s", person=ruling.by, reason=ruling.reason))
    if verdict is None:
        return (*reasons, *([] if ruling else [_not_judged(standing)]))
    if ruling is not None and ruling.verdict != verdict.word:
        return (*reasons, message("Verdict without the ruling: %(verdict)s.", verdict=message(verdict.word)))
    if verdict.word is VerdictWord.BREAKS:
        reasons += [to_words(reason, wording) for reason in verdict.breaches]
    elif verdict.word is VerdictWord.FITS_CHANGED:
        reasons += [to_words(grip, wording) for grip in verdict.grips]
    elif verdict.word is VerdictWord.OPEN:
        reasons += [to_words(gap, wording) for gap in verdict.missing]
    return tuple(reasons)


def _not_judged(standing: Standing) -> str:
    if standing.topic in _NO_TECHNIQUE:
        return message(
            "Its topic is “%(topic)s”, so no rule applies to it: keep it, or set it aside yourself.",
            topic=message(str(standing.topic)),
        )
    return message("How it is done is not described: find out, and record it in its entry.")


def sense_link_text(sense: JudgedSense) -> str:
    """Return what a sense is judged through; empty if nothing."""
    if sense.tie.bond is LinkKind.NONE:
        return ""
    # not `_through`: its values must stay translatable, while stored statements are in English
    return message(_THROUGH[sense.tie.bond].one, **_through_what(sense))


def _through(sense: JudgedSense) -> CodedText:
    if sense.tie.bond is LinkKind.NONE:
        return NOTHING_SAID
    return _THROUGH[sense.tie.bond](**_through_what(sense))


def _through_what(sense: JudgedSense) -> dict[str, str]:
    names = joined((f"{s.entry_id} {s.name}".strip() for s in sense.standings), message(" or "))
    return {"entries": names} | ({"why": sense.tie.why} if sense.tie.bond is LinkKind.RESEMBLES else {})


def what_to_find_out(judged: JudgedLine, sense: JudgedSense) -> tuple[str, ...]:
    """Return what to find out about a sense that is open or contradicted; empty if its entries say it."""
    if sense.other_style:
        return (_contradiction(sense),) if sense.contradicted else ()
    parsed = judged.line.parsed
    if parsed is None or parsed.troubles:
        if parsed is None:
            return (message("The line was not read cleanly: correct the reading first."),)
        why = without_full_stop(statement_text(parsed.troubles[0].why))
        return (message("The line was not read cleanly (%(why)s): correct the reading first.", why=why),)
    if not parsed.headword:
        return (message("No headword was read: correct the reading first."),)
    if sense.tie.bond is LinkKind.NONE:
        see = (*parsed.see, *(text for s in parsed.senses for text in s.see))
        if see and not any(s.equivalents for s in parsed.senses):
            return (
                message(
                    "Only a cross-reference to “%(name)s”: attach it there if it is another "
                    "name for the same thing.",
                    name=see[0],
                ),
            )
        return (message("No entry has this name: create or attach one, and record how it is done."),)
    if len({s.lot for s in sense.standings}) > 1:
        return (
            message(
                "The entries differ under this code: find out which one the line means, and attach it there."
            ),
        )
    return ()


def verdict_words(sense: JudgedSense) -> str:
    """Return the verdicts on the entries of a sense, each once."""
    return joined((message(word) for word in dict.fromkeys(s.word for s in sense.standings)), " / ")


def _contradiction(sense: JudgedSense) -> str:
    return message(
        "Its label was marked as another style, but the verdict is “%(verdict)s”: check it "
        "before you set it aside.",
        verdict=verdict_words(sense),
    )


def reason_set_aside(judged: JudgedLine, code_name: str) -> CodedText:
    """Return why a line is set aside, or what is noted on its entry."""
    return _combined(
        Aside.SEVERAL, dict.fromkeys(sense_reason_set_aside(sense, code_name) for sense in judged.senses)
    )


def sense_reason_set_aside(sense: JudgedSense, code_name: str) -> CodedText:
    """Return the same for one sense. The sentences of the verdict are stored in English."""
    why = _why(sense, code_name)
    return Aside.OF_SENSE(number=f"{sense.number}", why=why) if sense.number else why


def note_text(sense: JudgedSense, code_name: str, place: str) -> str:
    """Return the editor's note for the entries of a sense that breaks the rules.

    Args:
        sense: the sense.
        code_name: the name of the rule code.
        place: where the line is printed, in words.
    """
    return _NOTE % {"why": statement_text(sense_reason_set_aside(sense, code_name)), "place": place}


def has_note(editor_note: str, sense: JudgedSense, code_name: str, place: str) -> bool:
    """Return whether an editor's note already has the note on a sense, in whatever wording.

    The reason's code, rule code, label, sense number and place decide; the sentences of the verdict do not,
    since an earlier version may have worded them differently.
    """
    why = _note_pattern(sense_reason_set_aside(sense, code_name))
    pattern = _pattern(_NOTE, {"why": why, "place": re.escape(place)})
    return re.search(pattern, editor_note) is not None


def _note_pattern(statement: CodedText) -> str:
    """Return a pattern that matches a reason in every wording it may have."""
    values = {}
    for name, value in statement.values.items():
        if isinstance(value, CodedText) and value.code in NOTE_WORDINGS:
            values[name] = _note_pattern(value)
        else:
            values[name] = ".*" if name in _REWORDABLE else re.escape(str(value))
    wordings = (_pattern(wording, values) for wording in NOTE_WORDINGS[statement.code])
    return f"(?:{'|'.join(wordings)})"


def _pattern(wording: str, values: Mapping[str, str]) -> str:
    """Return a pattern for a sentence with patterns in its places."""
    parts = re.split(r"%\((\w+)\)s", wording)
    return "".join(values[part] if n % 2 else re.escape(part) for n, part in enumerate(parts))


def _why(sense: JudgedSense, code_name: str) -> CodedText:
    if sense.contradicted:
        words = dict.fromkeys(s.word for s in sense.standings)
        return Aside.OTHER_STYLE_BUT(
            label=sense.label,
            code=code_name,
            verdict=_combined(
                VerdictName.SEVERAL, (_VERDICTS.get(word) or own_words(word) for word in words)
            ),
            through=_through(sense),
        )
    if sense.other_style:
        return Aside.OTHER_STYLE(label=sense.label)
    reasons = joined(dict.fromkeys(reasons for s in sense.standings for reasons in standing_reasons(s)))
    reasons = " ".join(reasons.split())
    if sense.tie.bond is not LinkKind.RESEMBLES:
        return Aside.BREAKS(code=code_name, why=reasons)
    return Aside.BREAKS_THROUGH(code=code_name, through=_through(sense), why=reasons)


def _combined(several: Code, all_of_it: Iterable[CodedText]) -> CodedText:
    """Combine several statements into one."""
    first, *others = all_of_it
    return several(first=first, others=_combined(several, others)) if others else first
