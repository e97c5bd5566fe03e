"""Acts as the history stored them up to tables 0007: English sentences."""

import re
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from functools import cached_property
from types import MappingProxyType
from typing import Final, TypeAlias

import msgspec

__all__ = ["ACTS", "Kept", "Sentence", "Sentences", "act_column", "act_kept"]


Kept: TypeAlias = "dict[str, object]"
"""The current form, as JSON: `{"code": ..., "with": {...}}`, or `{"text": ...}`."""

_PLACE: Final = re.compile(r"%\((\w+)\)s")
_SHAPES: Final = MappingProxyType(
    {"id": r"\S+", "other": r"\S+", "date": r"\d{4}-\d\d-\d\d", "n": r"\d{1,15}", "number": r".*?"}
)
"""Patterns for placeholders by name; all others match anything."""
_DEEPEST: Final = 100
"""Maximum nesting depth of parsed texts; anything deeper stays a text."""


@dataclass(frozen=True)
class Sentence:
    """A sentence of an earlier version.

    Attributes:
        template: the text, with `%(name)s` for each value.
        code: its current code; values are named after their placeholders, and `n` is a number.
        more: values implied by the template.
        within: sentences that may fill a placeholder, by its name.
        itself: the placeholder that another text of the same kind fills.
    """

    template: str
    code: str
    more: Mapping[str, object] = field(default_factory=dict)
    within: Mapping[str, "Sentences"] = field(default_factory=dict)
    itself: str = ""

    @property
    def own_length(self) -> int:
        """Number of characters outside placeholders."""
        return len(_PLACE.sub("", self.template))

    @cached_property
    def pattern(self) -> re.Pattern[str]:
        """Pattern for the texts made from it."""
        pieces = _PLACE.split(self.template)  # alternating texts and names
        shapes = (
            f"(?P<{piece}>{_SHAPES.get(piece, '.*')})" if n % 2 else re.escape(piece.replace("%%", "%"))
            for n, piece in enumerate(pieces)
        )
        return re.compile("".join(shapes), re.DOTALL)


class Sentences:
    """The sentences of one kind of text; if several match, the one with the most text of its own counts."""

    def __init__(self, sentences: Iterable[Sentence]) -> None:
        self._sentences = sorted(sentences, key=lambda sentence: -sentence.own_length)

    def read(self, text: str, _depth: int = 1) -> Kept:
        """Return a text in the current form; if no sentence matches, it is a person's own words."""
        for sentence in self._sentences if _depth <= _DEEPEST else ():
            found = sentence.pattern.fullmatch(text)
            if found:
                return self._kept(sentence, found, _depth)
        return {"text": text} if text else {}

    def _kept(self, sentence: Sentence, found: re.Match[str], depth: int) -> Kept:
        values: dict[str, object] = dict(sentence.more)
        for name, value in found.groupdict().items():
            inner = self if name == sentence.itself else sentence.within.get(name)
            if inner is not None:
                values[name] = inner.read(value, depth + 1)
            else:
                values[name] = int(value) if name == "n" else value
        return {"code": sentence.code, "with": values} if values else {"code": sentence.code}


_WHICH: Final = {
    "which": Sentences((Sentence("language", "reading.language"), Sentence("practice", "reading.practice")))
}
_OF_LINES: Final = Sentences(
    (
        Sentence("made an entry", "line.made"),
        Sentence("attached to %(id)s", "line.attached"),
        Sentence("set aside (%(reason)s)", "line.set-aside"),
        Sentence("reopened, and the names it brought taken away", "line.reopened.with-names"),
        Sentence("reopened", "line.reopened"),
        Sentence("related to %(id)s", "line.related"),
        Sentence("corrected", "line.corrected"),
    )
)
ACTS: Final = Sentences(
    (
        Sentence("took back: %(deed)s", "act.taken-back", itself="deed"),
        Sentence("took back act %(id)s", "act.taken-back.by-number"),
        Sentence(
            "brought back %(id)s as it was after %(date)s (%(deed)s)", "record.brought-back", itself="deed"
        ),
        Sentence(
            "“%(text)s” (%(source)s, p. %(page)s, line %(line)s): %(line_deed)s",
            "line.worked",
            within={"line_deed": _OF_LINES},
        ),
        Sentence("entered page %(number)s of %(label)s", "page.entered"),
        Sentence("changed page %(number)s of %(label)s", "page.changed"),
        Sentence("took away page %(number)s of %(label)s", "page.removed"),
        Sentence("accepted all clear lines of page %(number)s of %(label)s", "page.accepted"),
        Sentence("accepted all clear lines of all pages", "pages.accepted"),
        Sentence("accepted all clear lines of %(id)s", "page.accepted.by-id"),
        Sentence("changed the line pattern of %(label)s", "source.pattern.changed"),
        Sentence("trimmed page %(number)s of %(label)s under %(code)s", "page.trimmed"),
        Sentence("trimmed %(label)s under %(code)s", "source.trimmed"),
        Sentence("kept a picture", "picture.kept"),
        Sentence("made the entry %(names)s", "entry.made"),
        Sentence("removed entry %(id)s: %(reason)s", "entry.removed.for"),
        Sentence("removed entry %(id)s", "entry.removed"),
        Sentence("merged %(other)s into %(id)s", "entry.merged"),
        Sentence("parted %(id)s again", "entry.parted.again"),
        Sentence("parted %(id)s", "entry.parted"),
        Sentence("related %(id)s to another entry", "entry.relation.added"),
        Sentence("took a relation away from %(id)s", "entry.relation.removed"),
        Sentence("changed the topic of %(id)s", "entry.topic.changed"),
        Sentence("changed the definition of %(id)s", "entry.definition.changed"),
        Sentence("changed the notes of %(id)s", "entry.notes.changed"),
        Sentence("accepted a note from elsewhere on %(id)s", "entry.foreign-note.accepted"),
        Sentence("withdrew a note from elsewhere on %(id)s", "entry.foreign-note.withdrawn"),
        Sentence("deleted a note from elsewhere on %(id)s", "entry.foreign-note.deleted"),
        Sentence("changed the analogues of %(id)s", "entry.analogues.changed"),
        Sentence("changed the figures of %(id)s", "entry.figures.changed"),
        Sentence("changed a name of %(id)s", "entry.name.changed"),
        Sentence("preferred a name of %(id)s", "entry.name.preferred"),
        Sentence("moved a name of %(id)s", "entry.name.moved"),
        Sentence("took a name away from %(id)s", "entry.name.removed"),
        Sentence("stated how %(id)s is done", "entry.technique.stated"),
        Sentence("took a ruling away on %(id)s under %(code)s", "entry.ruling.removed"),
        Sentence("ruled on %(id)s under %(code)s", "entry.ruling.made"),
        Sentence("read %(id)s for %(which)s", "entry.reading.signed", within=_WHICH),
        Sentence("did not sign %(id)s for %(which)s", "entry.reading.not-signed", within=_WHICH),
        Sentence(
            "put the reading of %(id)s for %(which)s back to open", "entry.reading.reopened", within=_WHICH
        ),
        Sentence("added a slip to %(id)s", "entry.slip.added"),
        Sentence("took slip %(id)s away", "slip.removed"),
        Sentence("took a slip from %(label)s: %(name)s", "source.slip.taken.of-name"),
        Sentence("took a slip from %(label)s", "source.slip.taken"),
        Sentence("sorted the slip %(id)s: %(name)s", "source.slip.sorted.of-name"),
        Sentence("sorted the slip %(id)s", "source.slip.sorted"),
        Sentence("changed the slip %(id)s: %(name)s", "source.slip.changed.of-name"),
        Sentence("changed the slip %(id)s", "source.slip.changed"),
        Sentence("changed slip %(id)s", "slip.changed"),
        Sentence("removed the slip %(id)s: %(name)s", "source.slip.removed.of-name"),
        Sentence("removed the slip %(id)s", "source.slip.removed"),
        Sentence("joined slips of “%(name)s”", "slips.joined"),
        Sentence("parted slips of “%(name)s”", "slips.parted"),
        Sentence("added the source %(label)s", "source.added"),
        Sentence("changed the source %(label)s", "source.changed"),
        Sentence("removed the source %(label)s", "source.removed"),
        Sentence("added the rule code %(name)s", "rule-code.added"),
        Sentence("changed the rule code %(name)s", "rule-code.changed"),
        Sentence("removed the rule code %(name)s", "rule-code.removed"),
        Sentence("took in 1 technique", "techniques.taken-in.number", more={"n": 1}),
        Sentence("took in %(n)s techniques", "techniques.taken-in.number"),
        Sentence("took in 1 rule code", "rule-codes.taken-in.number", more={"n": 1}),
        Sentence("took in %(n)s rule codes", "rule-codes.taken-in.number"),
        Sentence("took in rule codes from %(file)s", "rule-codes.taken-in"),
        Sentence("took in techniques from %(file)s", "techniques.taken-in"),
        Sentence("took in %(file)s", "file.taken-in"),
        Sentence("recorded a trial of %(id)s", "trial.recorded"),
        Sentence("changed trial %(id)s", "trial.changed"),
        Sentence("removed trial %(id)s", "trial.removed"),
        Sentence("changed what the termbase says of itself", "termbase.changed"),
        Sentence("took %(name)s off the list of people", "person.removed"),
        Sentence("named a person", "person.unnamed.named"),
        Sentence("made the termbase", "termbase.made"),
        Sentence("began the termbase", "termbase.begun"),
        Sentence("became the demo", "demo.made"),
        Sentence("named the people, the sources and the rule codes", "demo.sources.named"),
        Sentence("made the entries, with their slips", "demo.entries.made"),
        Sentence("entered and worked the word-list", "demo.word-list.worked"),
        Sentence("recorded the trials", "demo.trials.recorded"),
        Sentence("named %(name)s", "person.named"),
        Sentence("changed %(name)s", "person.changed"),
    )
)
"""The sentences of all acts that the program recorded."""


def act_kept(text: str) -> Kept:
    """Return what an act did, in the current form."""
    return ACTS.read(text)


def act_column(text: str) -> str:
    """Return the column of an act in the current form; it is unchanged if it already has it."""
    return text if _is_kept(text) else msgspec.json.encode(act_kept(text)).decode()


def _is_kept(text: str) -> bool:
    if text[:1] != "{":
        return False
    try:
        found: object = msgspec.json.decode(text)
    except (msgspec.DecodeError, RecursionError):
        return False
    return isinstance(found, dict) and found.keys() <= {"code", "with", "text"}
