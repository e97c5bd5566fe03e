"""A clause as questions: every clause survives the round trip, and silence neither allows nor bars."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from termbase.demo.loading import load
from termbase.errors import BadInput
from termbase.rules.clauses import FAMILIES, RuleCode, family
from termbase.rules.consistency import compare
from termbase.rules.questions import QUESTIONS, Question, answers_of, clause_of

CLAUSES = [(code.id, clause) for code in load().codes for clause in code.clauses]
BY_KEY = {(f, q.path): q for f, questions in QUESTIONS.items() for q in questions}


@pytest.mark.parametrize("clause", [c for _, c in CLAUSES], ids=[f"{r} {c.id}" for r, c in CLAUSES])
def test_a_clause_is_the_same_after_its_questions_are_answered(clause: object) -> None:
    name = family(clause)  # type: ignore[arg-type]
    assert clause_of(name, clause.id, answers_of(clause)) == clause  # type: ignore[attr-defined, arg-type]


def answer(question: Question) -> st.SearchStrategy[tuple[str, ...]]:
    if question.kind == "number":
        return st.integers(1, 9).map(lambda n: (str(n),))
    if question.path == "limits.years":
        return st.sampled_from(["1868", "1868/1884", "2013/.."]).map(lambda y: (y,))
    if not question.values:
        return st.text("abc é", min_size=1).map(str.strip).filter(bool).map(lambda t: (t,))
    most = 1 if question.kind in {"one", "truth"} else 4
    return st.lists(st.sampled_from(question.values), min_size=1, max_size=most, unique=True).map(tuple)


@given(st.data(), st.sampled_from(FAMILIES))
def test_a_clause_built_from_answers_returns_them(data: st.DataObject, name: str) -> None:
    questions = QUESTIONS[name]  # type: ignore[index]
    chosen = [q for q in questions if q.needed or data.draw(st.booleans())]
    given_ = {q.path: data.draw(answer(q)) for q in chosen}
    clause = clause_of(name, "1", given_)
    again = clause_of(name, "1", answers_of(clause))
    assert again == clause
    assert family(clause) == name


def test_an_unanswered_question_means_silence() -> None:
    clause = clause_of("ground", "8", {"work": ("barred",)})
    assert answers_of(clause) == {"work": ("barred",)}


@pytest.mark.parametrize(
    ("name", "clause_id", "answers", "where"),
    [
        ("weather", "1", {}, "family"),
        ("legs", " ", {"stance": ("barred",)}, "id"),
        ("legs", "1", {}, "stance"),
        ("legs", "1", {"stance": ("perhaps",)}, "stance"),
        ("legs", "1", {"stance": ("barred",), "uses": ("kick", "bite")}, "uses"),
        ("fall", "1", {"number": ("three",)}, "number"),
        ("fall", "1", {"parts": ("shoulder, ear",)}, "parts"),
        ("ground", "1", {"limits.years": ("last year",)}, "limits.years"),
    ],
)
def test_a_bad_answer_is_reported_with_its_question(
    name: str, clause_id: str, answers: dict[str, tuple[str, ...]], where: str
) -> None:
    with pytest.raises(BadInput) as caught:
        clause_of(name, clause_id, answers)
    assert caught.value.where == where
    assert caught.value.fix


def test_comparing_codes_ignores_clause_numbers_and_sources() -> None:
    first = RuleCode("r1", "A", clauses=(clause_of("legs", "4", {"stance": ("barred",), "uses": ("kick",)}),))
    other = RuleCode(
        "r2",
        "B",
        clauses=(
            clause_of("legs", "9", {"stance": ("barred",), "uses": ("kick",), "sources": ("s6",)}),
            clause_of("ground", "8", {"work": ("barred",)}),
        ),
    )
    rows = {row.family: row for row in compare(first, other)}
    assert list(rows) == list(FAMILIES)
    assert rows["legs"].alike
    assert not rows["ground"].alike
    assert rows["ground"].one == ()
    assert rows["fall"].alike
