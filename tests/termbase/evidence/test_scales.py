"""Evidence: the witnesses to a name, and the grades on the three scales."""

from dataclasses import replace
from itertools import product

import pytest
from hypothesis import given
from hypothesis import strategies as st

from termbase.evidence.scales import (
    MechanicScale,
    NameScale,
    PracticeScale,
    known_origin,
    mechanic_evidence,
    name_evidence,
    practice_evidence,
)
from termbase.evidence.witnesses import witnesses
from termbase.record.entries import InflectedForm, Origin, Term
from termbase.record.sources import Certainty, Presence, Slip, SlipKind
from termbase.record.trials import Outcome, Trial
from termbase.technique.profile import Hand, Profile, Stated

ISSUED = {"s1": "1898", "s2": "1902", "s3": "1911"}
HANK = Term("t1", "hank", "en", Origin.IN_USE)
SWEEP = Term("t1", "foot-sweep", "en", Origin.IN_USE)
BACHIAD = Term("t1", "clicied ddwbl", "cy", Origin.IN_USE, forms=(InflectedForm("plural", "cliciedau dwbl"),))
SCALE = list(NameScale)


def slip(number: int, text: str, source: str = "s1", **more: object) -> Slip:
    return replace(Slip(f"q{number}", source, text, term_id="t1"), **more)  # type: ignore[arg-type]


def trial(number: int, outcome: Outcome) -> Trial:
    return Trial(f"m{number}", "c0001", "2026", outcome)


@pytest.mark.parametrize(
    "unstated",
    [{"kind": SlipKind.NOT_STATED}, {"certainty": Certainty.NOT_STATED}],
    ids=["kind", "certainty"],
)
def test_a_quotation_without_kind_or_certainty_does_not_prove_use(unstated: dict[str, object]) -> None:
    evidence = name_evidence(HANK, [slip(1, "He tried the hank.", **unstated)], ISSUED)

    assert evidence.scale is NameScale.QUOTED
    assert any("not stated" in reason for reason in evidence.reasons)


def test_a_quotation_without_the_name_does_not_attest_it() -> None:
    quotation = slip(1, "he laid the sole of his foot to the other's ankle as it came forward")

    evidence = name_evidence(SWEEP, [quotation], ISSUED)

    assert (evidence.scale, evidence.used, evidence.without_name) == (NameScale.NONE, (), {"q1"})
    assert "1 quotation does not contain the name and does not count." in evidence.reasons


@pytest.mark.parametrize("presence", [p for p in Presence if p])
def test_a_quotation_counts_if_the_editor_says_how_the_name_is_present(presence: Presence) -> None:
    quotation = slip(1, "the same by Sorrel, and a fair fall", presence=presence)

    assert name_evidence(SWEEP, [quotation], ISSUED).scale is NameScale.ONE


@pytest.mark.parametrize(
    "kind", [SlipKind.MENTION, SlipKind.DEFINITION, SlipKind.RULE, SlipKind.NOT_STATED], ids=lambda k: k.value
)
def test_only_use_proves_use(kind: SlipKind) -> None:
    evidence = name_evidence(HANK, [slip(1, "the hank is known", kind=kind)], ISSUED)

    assert (evidence.scale, evidence.used) == (NameScale.QUOTED, ())


@pytest.mark.parametrize(
    ("kind", "scale"), [(SlipKind.HEADWORD, NameScale.WORD_LIST), (SlipKind.DESCRIPTION, NameScale.NONE)]
)
def test_headwords_and_descriptions_do_not_quote_the_name(kind: SlipKind, scale: NameScale) -> None:
    assert name_evidence(HANK, [slip(1, "hank, s.", kind=kind)], ISSUED).scale is scale


def test_a_doubtful_use_quotes_the_name_and_does_not_count() -> None:
    evidence = name_evidence(HANK, [slip(1, "a hank", certainty=Certainty.DOUBTFUL)], ISSUED)

    assert (evidence.scale, evidence.used) == (NameScale.QUOTED, ())
    assert "1 doubtful slip left out of the count." in evidence.reasons


def test_the_first_and_last_date_come_from_witnesses_of_use() -> None:
    slips = [
        slip(1, "Hughes gave him the hank.", "s2"),
        slip(2, "hank, s. a throw", "s1", kind=SlipKind.HEADWORD),
        slip(3, "I never saw a hank in my time.", "s3", certainty=Certainty.DOUBTFUL),
        slip(4, "a hank, and both were down", "s3", date="1905-08-01"),
    ]

    evidence = name_evidence(HANK, slips, ISSUED)

    assert [w.date for w in evidence.used] == ["1902", "1905-08-01"]
    assert evidence.scale is NameScale.SEVERAL


def test_a_reprint_is_dated_by_the_slips_that_prove_use() -> None:
    text = "Hughes gave him the hank again and both were down."
    slips = [
        slip(1, text, "s1", certainty=Certainty.DOUBTFUL),
        slip(2, text.replace("again", "once more"), "s2", joined_to="q1"),
    ]

    evidence = name_evidence(HANK, slips, ISSUED)

    assert [(w.slip_ids, w.date) for w in evidence.used] == [(("q1", "q2"), "1902")]
    assert [w.date for w in witnesses(slips, ISSUED)] == ["1898"]


@pytest.mark.parametrize(
    ("term", "text"),
    [
        (SWEEP, "made good play with the foot sweep"),
        (SWEEP, "FOOTSWEEPS and hanks"),
        (SWEEP, "he foot-\nswept him"),
        (SWEEP, "was twice foot-sweeping"),
        (SWEEP, "the foot\nsweep"),
        (replace(SWEEP, printed="ffoote-fweepe", printed_language="en"), "a ffoote-fweepe, which"),
        (BACHIAD, "rhoes glicied ddwbl iddo"),
        (BACHIAD, "dwy gliciedau dwbl"),
        (Term("t1", "cos", "ga", Origin.IN_USE), "an ċoꞅ"),
        (Term("t1", "hold and throw", "en", Origin.IN_USE), "a hold & throw"),
    ],
)
def test_the_name_counts_in_any_form(term: Term, text: str) -> None:
    if text == "he foot-\nswept him":
        term = replace(term, forms=(InflectedForm("past tense", "foot-swept"),))

    assert name_evidence(term, [slip(1, text)], ISSUED).scale is NameScale.ONE


@pytest.mark.parametrize(
    ("term", "text"),
    [
        (HANK, "a hankering for the ring"),
        (HANK, "thank him"),
        (SWEEP, "with the foot. Sweep the ring"),
        (SWEEP, "a foot, then a sweep"),
        (BACHIAD, "clicied dwbwl"),
    ],
)
def test_parts_of_other_words_are_not_the_name(term: Term, text: str) -> None:
    assert name_evidence(term, [slip(1, text)], ISSUED).without_name == {"q1"}


@given(st.lists(st.sampled_from(list(product(SlipKind, Certainty))), max_size=5))
def test_more_slips_never_weaken_the_evidence_of_a_name(kinds: list[tuple[SlipKind, Certainty]]) -> None:
    slips = [slip(n, f"hank {n}", kind=kind, certainty=sure) for n, (kind, sure) in enumerate(kinds)]
    places = [SCALE.index(name_evidence(HANK, slips[:n], ISSUED).scale) for n in range(len(slips) + 1)]  # type: ignore[arg-type]

    assert places == sorted(places, reverse=True)


# ---- origin


def test_a_word_list_name_with_a_witness_of_use_was_in_use() -> None:
    listed = replace(HANK, origin=Origin.WORD_LIST)

    assert known_origin(listed, [slip(1, "a hank")]) is Origin.IN_USE
    assert known_origin(listed, [slip(1, "a fall")]) is Origin.WORD_LIST
    assert known_origin(listed, [slip(1, "a hank", kind=SlipKind.MENTION)]) is Origin.WORD_LIST


def test_an_unstated_origin_is_known_from_a_headword() -> None:
    unstated = replace(HANK, origin=Origin.NOT_STATED)

    assert known_origin(unstated, [slip(1, "hank, s.", kind=SlipKind.HEADWORD)]) is Origin.WORD_LIST
    assert known_origin(unstated, []) is Origin.NOT_STATED


def test_a_made_up_name_stays_made_up() -> None:
    assert known_origin(replace(HANK, origin=Origin.COINED), [slip(1, "a hank")]) is Origin.COINED


# ---- practice


def test_one_success_among_failures_is_reported_with_them() -> None:
    trials = [trial(1, Outcome.WORKS), *(trial(n, Outcome.FAILS) for n in range(2, 11))]

    evidence = practice_evidence(trials)

    assert (evidence.scale, evidence.words) == (PracticeScale.MIXED, "worked in 1 of 10 trials")


@pytest.mark.parametrize(
    ("outcomes", "words"),
    [
        ((Outcome.WORKS,), "worked in 1 of 1 trial"),
        (
            (Outcome.WORKS, Outcome.WORKS_CHANGED, Outcome.FAILS),
            "worked in 1 of 3 trials, with a change in 1 more",
        ),
        ((Outcome.WORKS_CHANGED, Outcome.FAILS), "worked with a change in 1 of 2 trials"),
        ((Outcome.FAILS, Outcome.FAILS), "failed in all 2 trials"),
        ((), "untried"),
    ],
)
def test_the_words_of_the_practice_give_the_counts(outcomes: tuple[Outcome, ...], words: str) -> None:
    assert practice_evidence([trial(n, o) for n, o in enumerate(outcomes)]).words == words


@given(st.lists(st.sampled_from(list(Outcome)), min_size=1, max_size=8))
def test_a_further_failure_never_raises_the_practice(outcomes: list[Outcome]) -> None:
    order = list(PracticeScale)
    before = practice_evidence([trial(n, o) for n, o in enumerate(outcomes)])
    after = practice_evidence([trial(n, o) for n, o in enumerate([*outcomes, Outcome.FAILS])])

    assert order.index(after.scale) >= order.index(before.scale)  # type: ignore[arg-type]
    assert after.words != before.words


# ---- mechanic


def test_described_says_how_much_of_the_profile_is_based_on_slips() -> None:
    profile = Profile(
        right=Hand(places=Stated(("belt",), "slip", "q1"), work=Stated("pull", "reading", "E.M.")),
        leg_use=Stated("hook", "slip", "q2"),
        facing=Stated("front", "trial", "m1"),
    )

    evidence = mechanic_evidence(profile, 0)

    assert evidence.scale is MechanicScale.DESCRIBED
    assert evidence.words == "described (2 of 4 stated values, in 2 passages)"


def test_a_reprint_is_not_another_passage() -> None:
    text = "he hooked the heel with his own, and pulled him over it"
    slips = [slip(1, text), slip(2, text, "s2")]
    profile = Profile(leg_use=Stated("hook", "slip", "q1"), limb=Stated("heel", "slip", "q2"))

    evidence = mechanic_evidence(profile, 0, witnesses(slips, ISSUED))

    assert evidence.words == "described (2 of 2 stated values, in 1 passage)"


def test_a_profile_that_is_based_on_no_slip_is_not_described() -> None:
    assert mechanic_evidence(Profile(leg_use=Stated("hook")), 0).scale is MechanicScale.NOT_DESCRIBED
    assert mechanic_evidence(Profile(leg_use=Stated("hook")), 1).scale is MechanicScale.PICTURED
