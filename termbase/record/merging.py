"""Merging two entries for the same idea: the merged entry, and the conflicts to resolve first.

Pure. Content of only one entry is kept; content of both is kept once; where the two conflict, the editor
chooses. Names keep their ids; a name that both have becomes one. Each field declares how it is merged
(`termbase.fields.declarations.Merge`); RULES holds the special cases.
"""

from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass, is_dataclass, replace
from typing import TYPE_CHECKING, Final, Literal, TypeGuard, TypeVar

from termbase.codes.deeds import Reopened
from termbase.errors import BadInput
from termbase.fields.declarations import DeclaredField, Nested, changed_by, fields_of, rule_of
from termbase.languages import tags
from termbase.messages import message
from termbase.record.entries import Definition, Entry, Origin, Relation, Ruling, Signature, Status, Term
from termbase.record.foreign_notes import united
from termbase.technique.profile import Stated

if TYPE_CHECKING:
    from _typeshed import DataclassInstance

__all__ = [
    "ANSWERS",
    "RULES",
    "Answer",
    "Choices",
    "MergedPair",
    "Merging",
    "Question",
    "Rule",
    "merge_entries",
    "question_subject",
    "separate_entries",
]  # fmt: skip

Made = TypeVar("Made", bound="DataclassInstance")
Part = TypeVar("Part")
Choose = Callable[[DeclaredField, object, object], object]
"""Which value of a field to keep: the first or the second."""

Answer = Literal["this", "other", "both"]
ANSWERS: Final[tuple[Answer, ...]] = ("this", "other", "both")
"""Possible answers: the value of the entry that stays, that of the other, or both if both are possible."""
Choices = Mapping[str, str]
"""Answers by question key."""


@dataclass(frozen=True)
class Question:
    """A conflict: something about which the two entries say different things.

    Attributes:
        key: a stable key: `technique`, `usage note`, `preferred cy`, `name t12`.
        about: what it is about, in words.
        this, other: the value of the entry that stays and that of the one merged into it: text, a term,
            definitions, a profile, a ruling.
        answers: what can be chosen.
        chosen: what was chosen; empty until then.
    """

    key: str
    about: str
    this: object
    other: object
    answers: tuple[Answer, ...]
    chosen: Answer | Literal[""] = ""


@dataclass(frozen=True)
class MergedPair:
    """A name of the other entry that became one with a name of this one, by their ids."""

    term_id: str
    into: str


@dataclass(frozen=True)
class Merging:
    """Two merged entries.

    Attributes:
        entry: the merged entry; where nothing is chosen yet, with the value of `this`.
        questions: the conflicts, with the answers given.
        folded: names that became one.
    """

    entry: Entry
    questions: tuple[Question, ...]
    folded: tuple[MergedPair, ...]

    @property
    def unanswered(self) -> tuple[Question, ...]:
        """The questions that are still open."""
        return tuple(q for q in self.questions if not q.chosen)


def merge_entries(this: Entry, other: Entry, choices: Choices | None = None) -> Merging:
    """Merge `other` into `this` and return the result.

    Relations between the two are dropped; others are kept unchanged.

    Raises:
        BadInput: an answer is not one of the possible answers.
    """
    asked = _Questions(choices or {})
    entry = _merged(this, other, asked, asked.field)
    return Merging(entry, tuple(asked.questions), tuple(asked.folded))


def question_subject(field: DeclaredField) -> str:
    """Return what a question about an entry's field is about, as a message; all are in the catalogues."""
    about = f"the {field.word}"
    return message(about)


class _Questions:
    """Collects the questions, and answers them from the choices made."""

    def __init__(self, choices: Choices) -> None:
        self.choices = choices
        self.questions: list[Question] = []
        self.folded: list[MergedPair] = []

    def ask(
        self,
        key: str,
        about: str,
        this: object,
        other: object,
        answers: tuple[Answer, ...] = ("this", "other"),
    ) -> Answer | Literal[""]:
        given = self.choices.get(key, "")
        chosen: Answer | Literal[""] = next((answer for answer in answers if answer == given), "")
        if given and not chosen:
            raise BadInput(
                message("“%(word)s” cannot be chosen for %(about)s.", word=given, about=about),
                where=key,
                fix=message("Choose: %(answers)s.", answers=", ".join(answers)),
            )
        self.questions.append(Question(key, about, this, other, answers, chosen))
        return chosen

    def field(self, field: DeclaredField, this: object, other: object) -> object:
        """Return the value to keep for an entry's field; a question is asked only if both have a value and
        they differ. In a nested record, what only the other one states is filled in."""
        first, second, chosen = this, other, "this"
        if _differ(field, this, other):
            answers = ANSWERS if field.is_a.merge == "ask both" else ANSWERS[:2]
            chosen = self.ask(field.name.replace("_", " "), question_subject(field), this, other, answers)
        if chosen == "both":
            return f"{this}\n{other}"
        if chosen == "other":
            first, second = other, this
        return _first(field, first, second)


def _merged(first: Made, second: Made, asked: _Questions, choose: Choose) -> Made:
    """Return the two records merged, field by field as declared; *keep* fields are those of the first."""
    values: dict[str, object] = {}
    for field in fields_of(type(first)):
        mine, theirs = getattr(first, field.name), getattr(second, field.name)
        match field.is_a.merge:
            case "ask" | "ask both":
                values[field.name] = choose(field, mine, theirs)
            case "unite":
                values[field.name] = _united(mine, theirs)
            case "lines":
                values[field.name] = "\n".join(_united(filter(None, (mine, theirs)), ()))
            case "special":
                values[field.name] = rule_of(RULES, type(first), field.name).together(first, second, asked)
    return changed_by(first, values)


def _first(field: DeclaredField, first: object, second: object) -> object:
    """Return the first value, or the second if the first is empty."""
    if isinstance(field.is_a, Nested) and _is_record(first) and _is_record(second):
        return _merged(first, second, _Questions({}), _first)
    return first or second


def _is_record(value: object) -> TypeGuard["DataclassInstance"]:
    return is_dataclass(value)


def _contradict(a: object, b: object) -> bool:
    """Whether two records conflict in a field that can have only one value."""
    return any(
        rule_of(RULES, type(a), field.name).differ(a, b)
        if field.is_a.merge == "special"
        else _differ(field, getattr(a, field.name), getattr(b, field.name))
        for field in fields_of(type(a))
    )


def _differ(field: DeclaredField, mine: object, theirs: object) -> bool:
    """Whether both have a value in a field where one must be chosen, and the values differ."""
    if field.is_a.merge not in ("ask", "ask both") or not mine or not theirs:
        return False
    if isinstance(field.is_a, Nested):
        return _contradict(mine, theirs)
    if isinstance(mine, Stated) and isinstance(theirs, Stated):
        return bool(mine.value != theirs.value)
    return mine != theirs


def _united(first: Iterable[Part], second: Iterable[Part]) -> tuple[Part, ...]:
    return tuple(dict.fromkeys((*first, *second)))


_ORIGINS_BY_STRENGTH: Final = (
    Origin.IN_USE,
    Origin.WORD_LIST,
    Origin.REBUILT,
    Origin.COINED,
    Origin.NOT_STATED,
)
"""Of two origins of a name, the one listed first is kept: a recorded name is not made up, a used one is not
only listed, and a stated origin is kept."""


def _terms(this: Entry, other: Entry, asked: _Questions) -> tuple[Term, ...]:
    terms = list(this.terms)
    merged_ids: set[str] = set()
    for incoming in other.terms:
        position = next(
            (n for n, t in enumerate(terms) if _same_name(t, incoming) and t.id not in merged_ids), None
        )  # each name here absorbs one: a name twice in the other entry stays twice
        merged = None if position is None else _merged_name(terms[position], incoming, asked)
        if position is None or merged is None:
            terms.append(incoming)
        else:
            merged_ids.add(terms[position].id)
            asked.folded.append(MergedPair(incoming.id, terms[position].id))
            terms[position] = merged
    return _one_preferred(terms, asked)


def _same_name(a: Term, b: Term) -> bool:
    return (a.text, a.language) == (b.text, b.language)


def _merged_name(stored: Term, incoming: Term, asked: _Questions) -> Term | None:
    """Return the two names merged; None if they stay separate."""
    first, second = stored, incoming
    if _contradict(stored, incoming):
        about = message("the name “%(name)s”", name=stored.text)
        chosen = asked.ask(f"name {incoming.id}", about, stored, incoming, ANSWERS)
        if chosen == "both":
            return None
        if chosen == "other":
            first, second = incoming, stored
    kept = {f.name: getattr(stored, f.name) for f in fields_of(type(stored)) if f.is_a.merge == "keep"}
    return changed_by(_merged(first, second, asked, _first), kept)


def _one_preferred(terms: list[Term], asked: _Questions) -> tuple[Term, ...]:
    """Keep at most one preferred name per language; the other becomes admitted."""
    first: dict[str, int] = {}
    for n, term in enumerate(terms):
        if term.status is not Status.PREFERRED:
            continue
        if term.language not in first:
            first[term.language] = n
            continue
        earlier = first[term.language]
        about = message("the preferred %(language)s name", language=tags.said_name(term.language))
        chosen = asked.ask(f"preferred {term.language}", about, terms[earlier], term)
        second = earlier if chosen == "other" else n
        terms[second] = replace(terms[second], status=Status.ADMITTED)
        first[term.language] = n if chosen == "other" else earlier
    return tuple(terms)


def _definitions(this: Entry, other: Entry, asked: _Questions) -> tuple[Definition, ...]:
    result = list(this.definitions)
    for tag in dict.fromkeys(d.language for d in other.definitions):
        mine = tuple(d for d in this.definitions if d.language == tag)
        known = set(mine)
        theirs = tuple(d for d in other.definitions if d.language == tag)
        new = tuple(d for d in theirs if d not in known)
        if not mine or not new:
            result += new
            continue
        about = message("the definition in %(language)s", language=tags.said_name(tag))
        chosen = asked.ask(f"definition {tag}", about, mine, theirs, ANSWERS)
        if chosen == "other":
            result = [d for d in result if d.language != tag] + list(theirs)
        elif chosen == "both":
            result += new
    return tuple(result)


def _rulings(this: Entry, other: Entry, asked: _Questions) -> tuple[Ruling, ...]:
    result = {r.code_id: r for r in this.rulings}
    for ruling in other.rulings:
        stored = result.setdefault(ruling.code_id, ruling)
        about = message("the ruling under %(code)s", code=ruling.code_id)
        if stored != ruling and asked.ask(f"ruling {ruling.code_id}", about, stored, ruling) == "other":
            result[ruling.code_id] = ruling
    return tuple(result.values())


def _relations(this: Entry, other: Entry, _asked: _Questions) -> tuple[Relation, ...]:
    """Return the relations of both, without those between the two."""
    return tuple(
        r for r in _united(this.relations, other.relations) if r.target_id not in (this.id, other.id)
    )


def _printed_language(first: Term, second: Term, _asked: _Questions) -> str:
    """Return the language of the printed spelling that is kept."""
    if first.printed and first.printed != second.printed:
        return first.printed_language
    return first.printed_language or second.printed_language


def _printed_languages_conflict(first: Term, second: Term) -> bool:
    """Whether the same printed spelling is stated to be in two languages."""
    languages = {t.printed_language for t in (first, second) if t.printed and t.printed_language}
    return first.printed == second.printed and len(languages) > 1


def _reopened(before: Signature, other: Entry) -> Signature:
    """Reopen a signed reading: what was read has changed."""
    return Signature(reopened=Reopened.MERGED(entry=other.id)) if before.signed else before


def _separated_list(now: tuple[Part, ...], made: tuple[Part, ...], was: tuple[Part, ...]) -> tuple[Part, ...]:
    if now == made:
        return was
    kept = tuple(part for part in now if part in was or part not in made)
    return _united(kept, (part for part in was if part not in made))


def _separated_terms(now: Entry, made: Entry, was: Entry) -> tuple[Term, ...]:
    """Return the names that the entry had before the merge or got after it.

    A name is restored as it was, unless it has been changed since.
    """
    before = {t.id: t for t in was.terms}
    after = {t.id: t for t in made.terms}
    return tuple(
        before[t.id] if t.id in before and after.get(t.id) == t else t
        for t in now.terms
        if t.id in before or t.id not in after
    )


@dataclass(frozen=True)
class Rule:
    """What happens to a field whose `merge` is special.

    Attributes:
        together: returns its merged value; called with both records, the one that stays first, and the
            collector of questions.
        differ: called with both records of a name: whether there is a conflict.
        apart: returns its value when they are separated again; called with the entry as it is now, right
            after the merge and before it. If None, the earlier value is used, unless changed since.
    """

    together: Callable[..., object]
    differ: Callable[..., bool] = lambda _first, _second: False
    apart: Callable[[Entry, Entry, Entry], object] | None = None


_NOTES: Final = Rule(lambda first, second, _asked: united(first.foreign_notes, second.foreign_notes))
RULES: Final[Mapping[tuple[type, str], Rule]] = {
    (Term, "origin"): Rule(
        lambda first, second, _asked: min(first.origin, second.origin, key=_ORIGINS_BY_STRENGTH.index)
    ),
    (Term, "printed_language"): Rule(_printed_language, _printed_languages_conflict),
    (Term, "foreign_notes"): _NOTES,
    (Entry, "terms"): Rule(_terms, apart=_separated_terms),
    (Entry, "definitions"): Rule(_definitions),
    (Entry, "relations"): Rule(_relations),
    (Entry, "rulings"): Rule(_rulings),
    (Entry, "foreign_notes"): _NOTES,
    (Entry, "language_reading"): Rule(
        lambda this, other, _asked: _reopened(this.language_reading, other),
        apart=lambda now, _made, _was: now.language_reading,
    ),
    (Entry, "practice_reading"): Rule(
        lambda this, other, _asked: _reopened(this.practice_reading, other),
        apart=lambda now, _made, _was: now.practice_reading,
    ),
}
"""The rule for each special field, by declaring class and field name."""


def separate_entries(now: Entry, made: Entry, was: Entry) -> Entry:
    """Return the entry that stays without the changes made by the merge; later changes are kept.

    Args:
        now: as it is.
        made: as it was right after the merge.
        was: as it was before.
    """
    fields = (f for f in fields_of(type(now)) if f.is_a.merge != "keep")
    return changed_by(now, {field.name: _separated_value(field, now, made, was) for field in fields})


def _separated_value(field: DeclaredField, now: Entry, made: Entry, was: Entry) -> object:
    rule = rule_of(RULES, type(now), field.name) if field.is_a.merge == "special" else None
    if rule and rule.apart:
        return rule.apart(now, made, was)
    current, merged, original = (getattr(entry, field.name) for entry in (now, made, was))
    if isinstance(current, tuple):
        return _separated_list(current, merged, original)
    return original if current == merged else current
