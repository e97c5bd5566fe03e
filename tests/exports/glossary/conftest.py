"""A small invented termbase with one of each thing that the book prints."""

from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path

import pytest

from termbase.overviews.articles import Library
from termbase.record.entries import (
    Analogue,
    Definition,
    Entry,
    Gender,
    InflectedForm,
    Origin,
    PartOfSpeech,
    Relation,
    RelationKind,
    Ruling,
    Signature,
    Status,
    Term,
    TermType,
    Topic,
)
from termbase.record.people import Termbase
from termbase.record.sources import Slip, SlipKind, Source, SourceKind
from termbase.record.trials import Outcome, Trial
from termbase.rules.clauses import GripRule, KeepRule, LegRule, PressureRule, RuleCode, StartHold
from termbase.store.engine import Store
from termbase.store.writing import Act
from termbase.technique.profile import Hand, Profile, Stated

NOTICE = "Everything in this book is invented and is evidence of nothing."
AS_OF = "2026-03-01"
SIGNED = Signature("Ruth Ashbarrow", "2026-02-01")


def term(n: int, text: str, language: str, origin: Origin, **more: object) -> Term:
    """Return a noun with the id `t{n}`."""
    return Term(f"t{n}", text, language, origin, **{"part_of_speech": PartOfSpeech.NOUN, **more})


def fill(act: Act) -> None:
    """Store the sample."""
    sources = (
        Source(
            "s1",
            "Lantern",
            SourceKind.NEWSPAPER,
            "The Quarry Lantern",
            place="Glanmorwen",
            issued="1866/1909",
        ),
        Source("s2", "Mail", SourceKind.NEWSPAPER, "The Upland Mail", language="en", issued="1860/1912"),
        Source(
            "s3",
            "Word-List 1898",
            SourceKind.WORD_LIST,
            "A Pocket Word-List of Field Games, English and Welsh",
            author="A Schoolmaster",
            place="Glanmorwen",
            publisher="at the press",
            issued="1898",
            language="en",
        ),
    )
    for source in sources:
        act.add(source)
    act.add(
        RuleCode(
            "r1",
            "Glanmorwen Fair rules (1868)",
            "Glanmorwen",
            "1868",
            sources=("s3",),
            clauses=(
                StartHold(id="F2", sources=("s3",), right=("shoulder strap",), left=("belt near side",)),
                KeepRule(id="F3", sources=("s3",), keep="both hands", loss="the fall"),
                LegRule(id="F4", sources=("s3",), stance="barred", uses=("kick",)),
                LegRule(id="F5", sources=("s3",), stance="allowed", uses=("trip",)),
                PressureRule(id="F6", sources=("s3",), barred=("neck", "throat")),
            ),
        )
    )
    act.add(
        RuleCode(
            "r2",
            "Open-hold matches (1902)",
            "Glanmorwen",
            "1902",
            clauses=(
                GripRule(id="O1", allowed=("above the waist",), barred=("legs",)),
                LegRule(id="O2", stance="allowed", uses=("any",)),
            ),
        )
    )
    heel = Profile(
        right=Hand(Stated(("shoulder strap",), "slip", "q1"), work=Stated("push"), essential=Stated(False)),
        left=Hand(Stated(("belt near side",), "slip", "q1"), work=Stated("pull"), essential=Stated(False)),
        leg_use=Stated("hook", "slip", "q1"),
        contact=Stated(("heel",)),
        off_balance=Stated("right backward"),
        first_down=Stated("he"),
        pressure=Stated("none"),
        ground=Stated("standing"),
    )
    kick = Profile(leg_use=Stated("kick"), pressure=Stated("neck"))
    plural = (InflectedForm("plural", "bachiadau sawdl"),)
    act.add(
        Entry(
            "c0001",
            Topic.TRIP,
            (
                term(1, "back-heel", "en", Origin.IN_USE, status=Status.PREFERRED, pronunciation="ˈbak hiːl"),
                term(2, "outside heel", "en", Origin.WORD_LIST, type=TermType.VARIANT),
                term(
                    3,
                    "bachiad sawdl",
                    "cy",
                    Origin.IN_USE,
                    gender=Gender.MASCULINE,
                    forms=plural,
                    status=Status.PREFERRED,
                ),
                term(4, "tro sawdl", "cy", Origin.REBUILT, gender=Gender.MASCULINE),
            ),
            definitions=(
                Definition(
                    "en", "Hooking his heel from the outside and pushing him back over it by the strap.", "s3"
                ),
            ),
            technique=heel,
            relations=(Relation(RelationKind.CONTRASTS, "c0002"),),
            analogues=(Analogue("heel-chip", "en", "Marrowdale wrestling"),),
            rulings=(Ruling("r2", "fits", "Ruth Ashbarrow", "2026-02-02", "The handbill shows it."),),
            usage_note="The first thing a boy learnt.",
            language_reading=SIGNED,
            practice_reading=SIGNED,
        )
    )
    act.add(
        Entry(
            "c0002",
            Topic.KICK,
            (term(5, "clog-kick", "en", Origin.COINED), term(6, "llorio", "cy", Origin.WORD_LIST)),
            definitions=(Definition("en", "A kick at the shin."),),
            technique=kick,
        )
    )
    act.add(
        Entry(
            "c0003", Topic.FALL, (term(7, "fall", "en", Origin.IN_USE), term(8, "codwm", "cy", Origin.IN_USE))
        )
    )
    act.add(Entry("c0004", Topic.FALL, (term(9, "cwymp", "cy", Origin.IN_USE, gender=Gender.MASCULINE),)))
    act.add(
        Entry(
            "c0005",
            Topic.BOUT,
            (
                term(10, "bout", "en", Origin.IN_USE),
                term(11, "gornest", "cy", Origin.IN_USE),
                term(12, "codwm", "cy", Origin.WORD_LIST),
            ),
        )
    )
    sentence = "He took his man with the back-heel and laid him fairly upon the turf before the quarry gate."
    act.add(
        Slip("q1", "s1", sentence, name="back-heel", page="3", column="2", date="1871-06-12", term_id="t1")
    )
    act.add(Slip("q2", "s2", sentence.replace("fairly", "fair"), page="4", date="1871-06-14", term_id="t1"))
    act.add(Slip("q3", "s1", "Evan gave the back-heel twice.", page="2", date="1889~", term_id="t1"))
    headword = Slip(
        "q4", "s3", "Back-heel, n. bach-\niad sawdl,\nm.", page="41", kind=SlipKind.HEADWORD, term_id="t3"
    )
    act.add(headword)
    act.add(replace(headword, id="q5", term_id="t1"))
    act.add(replace(headword, id="q6", term_id="t2"))
    act.add(Slip("q7", "s1", "gave the back-heel", page="2", date="1889~", term_id="t2"))
    act.add(Trial("m1", "c0001", "2025-05-03", Outcome.WORKS_CHANGED, code_id="r1", change="left hand lower"))


@pytest.fixture(scope="session")
def sample_store(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Store]:
    """The sample in a database, created once and only read."""
    store = _sample(tmp_path_factory.mktemp("glossary"))
    yield store
    store.close()


@pytest.fixture
def own_store(tmp_path: Path) -> Iterator[Store]:
    """The sample in a database for one test, which may change it."""
    store = _sample(tmp_path)
    yield store
    store.close()


def _sample(folder: Path) -> Store:
    place = str(folder / "sample.wordhold")
    termbase = Termbase(
        title="Strap-hold Wrestling", vernaculars=("cy",), licence="CC BY 4.0", rights="Nobody", notice=NOTICE
    )
    store = Store.create(place, termbase, by="Nia")
    with store.act("Nia", "filled it") as act:
        fill(act)
    return store


@pytest.fixture
def library(sample_store: Store) -> Iterator[Library]:
    """The sample, read."""
    with sample_store.read() as reader:
        yield Library(reader)
