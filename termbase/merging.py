"""Two entries that are one idea, put together: what the one entry would hold, and what must be chosen first.

Pure. What only one of the two says is taken over; what both say alike is said once; where they contradict
each other the editor chooses. Names keep their ids; a name that both have becomes one.
"""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, fields, replace
from typing import Any, Final, Literal

from termbase import tags
from termbase.entries import REOPENED_BY_MERGING, Entry, Origin, Signature, Status, Term
from termbase.errors import BadInput
from termbase.foreignnotes import united
from termbase.messages import message
from termbase.technique import Hand, Profile
from termbase.technique.stating import UNJUDGED

__all__ = ["ANSWERS", "Answer", "Choices", "Folded", "Merging", "Question", "put_together", "taken_apart"]

Answer = Literal["this", "other", "both"]
ANSWERS: Final[tuple[Answer, ...]] = ("this", "other", "both")
"""What may be chosen: what the entry says that stays, what the other says, or both where both can stand."""
Choices = Mapping[str, str]
"""Answers by the key of their question."""


@dataclass(frozen=True)
class Question:
    """Something of which the two entries say different things.

    Attributes:
        key: names it, the same however often it is asked: `technique`, `preferred cy`, `name t12`.
        about: what it is about, in words.
        this, other: what the entry that stays says, and what the one that goes into it says: text, a term,
            definitions, a profile, a ruling.
        answers: what can be chosen.
        chosen: what was chosen; empty while nothing is.
    """

    key: str
    about: str
    this: Any
    other: Any
    answers: tuple[Answer, ...]
    chosen: Answer | Literal[""] = ""


@dataclass(frozen=True)
class Folded:
    """A name of the other entry that became one with a name of this one, by their ids."""

    term_id: str
    into: str


@dataclass(frozen=True)
class Merging:
    """Two entries put together.

    Attributes:
        entry: what the one entry would hold; while something is not chosen, as if `this` were.
        questions: what is to be chosen, with what was.
        folded: names that became one.
    """

    entry: Entry
    questions: tuple[Question, ...]
    folded: tuple[Folded, ...]

    @property
    def unanswered(self) -> tuple[Question, ...]:
        """What is still to be chosen."""
        return tuple(q for q in self.questions if not q.chosen)


def put_together(this: Entry, other: Entry, choices: Choices | None = None) -> Merging:
    """The entry `this` with all that `other` holds.

    Relations between the two are dropped; others are taken over as they stand.

    Raises:
        BadInput: an answer is none of those that can be chosen.
    """
    asked = _Asked(choices or {})
    terms, folded = _terms(this, other, asked)
    entry = replace(
        this,
        topic=asked.one("topic", message("the topic"), this.topic, other.topic),
        terms=terms,
        definitions=_definitions(this, other, asked),
        technique=_technique(this.technique, other.technique, asked),
        relations=_without(_united(this.relations, other.relations), {this.id, other.id}),
        analogues=_united(this.analogues, other.analogues),
        figures=_united(this.figures, other.figures),
        rulings=_rulings(this, other, asked),
        usage_note=asked.text("usage note", message("the usage note"), this.usage_note, other.usage_note),
        foreign_notes=united(this.foreign_notes, other.foreign_notes),
        editor_note="\n".join(_united(filter(None, (this.editor_note, other.editor_note)), ())),
    )
    return Merging(_read_again(this, entry, other.id), tuple(asked.questions), folded)


class _Asked:
    """Collects what is to be chosen, and answers from what was."""

    def __init__(self, choices: Choices) -> None:
        self.choices = choices
        self.questions: list[Question] = []

    def ask(
        self, key: str, about: str, this: Any, other: Any, answers: tuple[Answer, ...] = ("this", "other")
    ) -> Answer | Literal[""]:
        given = self.choices.get(key, "")
        chosen: Answer | Literal[""] = next((answer for answer in answers if answer == given), "")
        if given and not chosen:
            raise BadInput(
                message("“%(word)s” cannot be chosen for %(about)s.", word=given, about=about),
                where=key,
                mend=message("Choose: %(answers)s.", answers=", ".join(answers)),
            )
        self.questions.append(Question(key, about, this, other, answers, chosen))
        return chosen

    def one(self, key: str, about: str, this: Any, other: Any) -> Any:
        """The value that stands; asked about only where both have one and they differ."""
        if not this or not other or this == other:
            return this or other
        return other if self.ask(key, about, this, other) == "other" else this

    def text(self, key: str, about: str, this: str, other: str) -> str:
        """The text that stands, or both, one under the other."""
        if not this or not other or this == other:
            return this or other
        chosen = self.ask(key, about, this, other, ANSWERS)
        return f"{this}\n{other}" if chosen == "both" else other if chosen == "other" else this


_STRONGER: Final = (Origin.IN_USE, Origin.WORD_LIST, Origin.REBUILT, Origin.COINED, Origin.NOT_STATED)
"""Of two origins of one name the first stands: what is recorded is not made up, what was used is not only
listed, and what is stated is kept."""
_CONTRADICTING: Final = (
    "printed", "part_of_speech", "gender", "number", "pronunciation", "register", "region", "type", "status",
    "sort_text",
)  # fmt: skip


def _terms(this: Entry, other: Entry, asked: _Asked) -> tuple[tuple[Term, ...], tuple[Folded, ...]]:
    terms = list(this.terms)
    folded: list[Folded] = []
    for coming in other.terms:
        taken = {f.into for f in folded}
        place = next(
            (n for n, t in enumerate(terms) if _same_name(t, coming) and t.id not in taken), None
        )  # each name here takes in one: a name twice in the other entry stays twice
        one = None if place is None else _one_name(terms[place], coming, asked)
        if place is None or one is None:
            terms.append(coming)
        else:
            folded.append(Folded(coming.id, terms[place].id))
            terms[place] = one
    return _one_preferred(terms, asked), tuple(folded)


def _same_name(a: Term, b: Term) -> bool:
    return (a.text, a.language) == (b.text, b.language)


def _one_name(here: Term, coming: Term, asked: _Asked) -> Term | None:
    """The two as one name; None where they stay two."""
    pairs = [(name, getattr(here, name), getattr(coming, name)) for name in _CONTRADICTING]
    stands: Answer | Literal[""] = "this"
    if any(mine and theirs and mine != theirs for _, mine, theirs in pairs):
        stands = asked.ask(
            f"name {coming.id}", message("the name “%(name)s”", name=here.text), here, coming, ANSWERS
        )
        if stands == "both":
            return None
    first, second = (coming, here) if stands == "other" else (here, coming)
    filled = {name: getattr(first, name) or getattr(second, name) for name, _, _ in pairs}
    printed_language = first.printed_language if first.printed else second.printed_language
    return replace(
        here,
        **filled,
        printed_language=printed_language,
        origin=min(here.origin, coming.origin, key=_STRONGER.index),
        forms=_united(first.forms, second.forms),
        foreign_notes=united(here.foreign_notes, coming.foreign_notes),
        usage_note="\n".join(_united(filter(None, (first.usage_note, second.usage_note)), ())),
    )


def _one_preferred(terms: list[Term], asked: _Asked) -> tuple[Term, ...]:
    """At most one preferred name a language; the one not chosen is admitted."""
    first: dict[str, int] = {}
    for n, term in enumerate(terms):
        if term.status is not Status.PREFERRED:
            continue
        if term.language not in first:
            first[term.language] = n
            continue
        before = first[term.language]
        about = message("the preferred %(language)s name", language=tags.said_name(term.language))
        chosen = asked.ask(f"preferred {term.language}", about, terms[before], term)
        second = before if chosen == "other" else n
        terms[second] = replace(terms[second], status=Status.ADMITTED)
        first[term.language] = n if chosen == "other" else before
    return tuple(terms)


def _definitions(this: Entry, other: Entry, asked: _Asked) -> tuple[Any, ...]:
    found = list(this.definitions)
    for tag in dict.fromkeys(d.language for d in other.definitions):
        mine = tuple(d for d in this.definitions if d.language == tag)
        known = {(d.text, d.source_id) for d in mine}
        theirs = tuple(d for d in other.definitions if d.language == tag)
        new = tuple(d for d in theirs if (d.text, d.source_id) not in known)
        if not mine or not new:
            found += new
            continue
        about = message("the definition in %(language)s", language=tags.said_name(tag))
        chosen = asked.ask(f"definition {tag}", about, mine, theirs, ANSWERS)
        if chosen == "other":
            found = [d for d in found if d.language != tag] + list(theirs)
        elif chosen == "both":
            found += new
    return tuple(found)


def _technique(this: Profile | None, other: Profile | None, asked: _Asked) -> Profile | None:
    """What either states; where they state different things, that of the one chosen."""
    if this is None or other is None or this == other:
        return this or other
    chosen = (
        asked.ask("technique", message("the technique"), this, other) if _contradict(this, other) else "this"
    )
    filled: Profile = _filled(other, this) if chosen == "other" else _filled(this, other)
    return filled


def _contradict(a: Profile | Hand, b: Profile | Hand) -> bool:
    for field in fields(a):
        mine, theirs = getattr(a, field.name), getattr(b, field.name)
        if field.name in UNJUDGED:
            continue
        if isinstance(mine, Hand):
            if _contradict(mine, theirs):
                return True
        elif mine is not None and theirs is not None and mine.value != theirs.value:
            return True
    return False


def _filled(first: Any, second: Any) -> Any:
    """A profile, or a hand of one, with what only the second states."""
    values: dict[str, Any] = {}
    for field in fields(first):
        mine, theirs = getattr(first, field.name), getattr(second, field.name)
        if field.name in UNJUDGED:  # both are kept
            values[field.name] = (
                tuple(dict.fromkeys((*mine, *theirs)))
                if isinstance(mine, tuple)
                else "\n".join(dict.fromkeys(text for text in (mine, theirs) if text))
            )
            continue
        values[field.name] = (
            _filled(mine, theirs) if isinstance(mine, Hand) else theirs if mine is None else mine
        )
    return replace(first, **values)


def _rulings(this: Entry, other: Entry, asked: _Asked) -> tuple[Any, ...]:
    mine = {r.code_id: r for r in this.rulings}
    for ruling in other.rulings:
        here = mine.get(ruling.code_id)
        mine[ruling.code_id] = asked.one(
            f"ruling {ruling.code_id}",
            message("the ruling under %(code)s", code=ruling.code_id),
            here,
            ruling,
        )
    return tuple(mine.values())


def _united(first: Iterable[Any], second: Iterable[Any]) -> tuple[Any, ...]:
    return tuple(dict.fromkeys((*first, *second)))


def _without(relations: tuple[Any, ...], ids: set[str]) -> tuple[Any, ...]:
    return tuple(r for r in relations if r.target_id not in ids)


def _read_again(before: Entry, entry: Entry, other_id: str) -> Entry:
    """Readings that were signed are open again: what was read is not what stands now."""
    why = Signature(reopened=str(message(REOPENED_BY_MERGING, entry=other_id)))
    return replace(
        entry,
        language_reading=why if before.language_reading.signed else before.language_reading,
        practice_reading=why if before.practice_reading.signed else before.practice_reading,
    )


def taken_apart(now: Entry, made: Entry, was: Entry) -> Entry:
    """The entry that stays, without what merging had changed; what was changed or added since stays.

    Args:
        now: as it is.
        made: as it was right after the merging.
        was: as it was before.
    """
    lists = ("definitions", "relations", "analogues", "figures", "rulings", "foreign_notes")
    single = ("topic", "technique", "usage_note", "editor_note")
    before = {t.id: t for t in was.terms}
    after = {t.id: t for t in made.terms}
    terms = (
        before[t.id] if t.id in before and after.get(t.id) == t else t
        for t in now.terms
        if t.id in before or t.id not in after
    )
    changes: dict[str, Any] = {
        **{name: _list_apart(*(getattr(e, name) for e in (now, made, was))) for name in lists},
        **{name: getattr(was if getattr(now, name) == getattr(made, name) else now, name) for name in single},
    }
    return replace(now, terms=tuple(terms), **changes)


def _list_apart(now: tuple[Any, ...], made: tuple[Any, ...], was: tuple[Any, ...]) -> tuple[Any, ...]:
    if now == made:
        return was
    kept = tuple(part for part in now if part in was or part not in made)
    return _united(kept, (part for part in was if part not in made))
