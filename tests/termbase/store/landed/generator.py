"""Made the fixtures in this folder with the code of commit 9b4b575. Later code cannot run it; see README.md.

    python tests/termbase/store/landed/generator.py FILE_OR_URL

Makes a termbase at an empty place: the demo, with small pictures, and then one act of every kind.
"""

import io
import itertools
import json
import sys
from collections.abc import Callable, Sequence
from dataclasses import replace
from datetime import datetime, timedelta
from hashlib import sha256
from pathlib import Path

import PIL.Image
from termbase.keptwords import KEPT, PRINTED_PARTS
from termbase.linepatterns.troubles import (
    EXPECTED,
    EXPECTED_BUT,
    EXPECTED_BUT_ENDS,
    TROUBLES,
    WANTED,
)

from app.deeds import DEEDS, OF_LINES
from app.web.pages.desk import REASONS
from termbase.acts import accepting, entries, history, merging, pages, rules, sources, techniques, trimming
from termbase.acts import termbase as people
from termbase.acts import trials as trial_acts
from termbase.demo import loading
from termbase.demo.loading import load
from termbase.demo.rows import Demo
from termbase.record.entries import (
    COVERED,
    REOPENED,
    Analogue,
    Definition,
    Entry,
    Figure,
    Gender,
    InflectedForm,
    Number,
    Origin,
    PartOfSpeech,
    Register,
    Status,
    Term,
    TermType,
    Topic,
)
from termbase.record.lines import Printed, Trouble
from termbase.record.pages import Line, LineState, Page
from termbase.record.people import Image, Person, Role
from termbase.record.sources import Certainty, Slip, SlipKind, Source, SourceKind
from termbase.record.trials import Outcome, Trial
from termbase.rules.clauses import RuleCode
from termbase.rules.files import NamedProfile
from termbase.search import likeness
from termbase.store.engine import Store
from termbase.store.writing import Act
from termbase.technique.profile import Stated
from termbase.wordlists.matching import PARTS

START = datetime.fromisoformat("2026-03-03T09:00:00+00:00")
ODD = "by mistake"
"""A person's own words that look like ours."""


def small(image: Image) -> Image:
    """The same picture, 48 pixels wide."""
    with PIL.Image.open(io.BytesIO(image.data)) as picture:
        height = max(1, picture.height * 48 // picture.width)
        out = io.BytesIO()
        picture.convert("L").resize((48, height)).save(out, "WEBP", quality=20)
    data = out.getvalue()
    return Image(sha256(data).hexdigest()[:16], "image/webp", 48, height, data)


def small_demo() -> Demo:
    demo = load()
    new = {image.id: small(image) for image in demo.images}
    return replace(
        demo,
        images=tuple(new.values()),
        pages=tuple(replace(p, image_id=new[p.image_id].id) if p.image_id else p for p in demo.pages),
        entries=tuple(
            replace(e, figures=tuple(replace(f, image_id=new[f.image_id].id) for f in e.figures))
            for e in demo.entries
        ),
    )


def drawn(kind: str) -> Image:
    out = io.BytesIO()
    PIL.Image.new("RGB", (8, 6), (200, 30 if kind == "PNG" else 90, 40)).save(out, kind)
    return people.read_picture(out.getvalue(), f"drawn.{kind.lower()}")


class Story:
    """Acts one after another, a minute apart, each by the next person."""

    def __init__(self, store: Store) -> None:
        self.store = store
        self.minutes = itertools.count()
        store.clock = lambda: START + timedelta(minutes=next(self.minutes))
        self.by = itertools.cycle(("Elin Maesgwyn", "Ifor Cadwalch", "Ruth Ashbarrow"))
        self.last = 0

    def act(self, what: str, do: Callable[[Act], object], undoes: int | None = None) -> object:
        with self.store.act(next(self.by), what, undoes=undoes) as act:
            result = do(act)
        assert act.id, what
        self.last = act.id
        return result

    def get(self, cls, record_id):
        with self.store.read() as reader:
            return reader.get(cls, record_id)

    def undo(self, what: str) -> None:
        undone = self.last
        self.act(what, lambda act: history.undo(act, undone), undoes=undone)


def on_line(story: Story, line_id: str, what: str, do: Callable[[Act], object]) -> None:
    with story.store.read() as reader:
        line = reader.get(Line, line_id)
        page = reader.get(Page, line.page_id)
        source = reader.get(Source, page.source_id)
    text = line.parsed.headword if line.parsed and line.parsed.headword else line.text.strip()
    short = " ".join(text.split())[:40]
    story.act(f"“{short}” ({source.label}, p. {page.number}, line {line.first}): {what}", do)


def tell(store: Store) -> None:
    story = Story(store)
    tell_settings(story)
    tell_sources(story)
    tell_entries(story)
    tell_rules(story)
    tell_lines(story)
    tell_troubles(story)
    tell_merging(story)
    tell_undoing(story)


def tell_settings(story: Story) -> None:
    def termbase(act, **more):
        return people.save_termbase(act, replace(act.termbase(), **more))

    with story.store.read() as reader:
        notice = reader.termbase().notice
    story.act("began the termbase", lambda act: termbase(act, rights="© the invented Vale, all of it"))
    story.act("became the demo", lambda act: termbase(act, notice=notice + " Kept for tests."))
    story.act(
        "changed what the termbase says of itself",
        lambda act: termbase(act, vernaculars=("cy", "ga"), licence="CC-BY-4.0"),
    )
    person = story.act(
        "named a person", lambda act: people.save_person(act, Person("", "Nia by mistake", ()))
    )
    person = story.act(
        "changed Nia by mistake",
        lambda act: people.save_person(act, replace(person, name="Nia (reader)", roles=tuple(Role))),
    )
    story.act("named Twm Bryn", lambda act: people.save_person(act, Person("", "Twm Bryn", (Role.COACH,))))
    story.act("took Nia (reader) off the list of people", lambda act: people.remove_person(act, person.id))
    story.act(
        "kept a picture",
        lambda act: (
            act.add_image(drawn("PNG")),
            act.add_image(drawn("JPEG")),
            termbase(act, rights="© all"),
        ),
    )


def tell_sources(story: Story) -> None:
    odd = Source(
        "", "Mail (p. 3): reopened", SourceKind.MANUSCRIPT, "A letter “to the editor”", author="A. Nobody",
        editor="B. Nobody", container="Letters", publisher="Nobody", place="Nowhere", issued="1901?",
        pages="3-4", archive="None", shelfmark="X 1", url="https://example.org/letter", language="cy-GB",
        styles=("strap", "open"), rights="none", note="Invented.",
    )  # fmt: skip
    added = story.act(f"added the source {odd.label}", lambda act: sources.save_source(act, odd))
    for kind in SourceKind:
        made = Source("", f"A {kind.value}", kind, f"Some {kind.value}")
        story.act(f"added the source {made.label}", lambda act, made=made: sources.save_source(act, made))
    changed = replace(added, label="Letter of 1901", issued="1901~")
    story.act(f"changed the source {changed.label}", lambda act: sources.save_source(act, changed))
    gone = story.act("added the source Gone", lambda act: sources.save_source(
        act, Source("", "Gone", SourceKind.OTHER, "Gone")))  # fmt: skip
    story.act("removed the source Gone", lambda act: sources.remove_source(act, gone.id))
    word_list = story.get(Source, "s4")
    story.act(
        f"changed the line pattern of {word_list.label}",
        lambda act: (
            sources.save_source(act, replace(word_list, pattern=word_list.pattern + "\n# looked over\n")),
            pages.refit(act, "w1"),
        ),
    )
    tell_slips(story, added.id)


def tell_slips(story: Story, source_id: str) -> None:
    label = "Letter of 1901"
    term = story.get(Entry, "c0015").terms[0]
    whole = Slip(
        "", source_id, "He gave him the  back-heel, and down he went.", name="back-heel", page="3",
        column="2", line="14", item="7", date="1901-06", place="Nowhere", note="Faded.",
        image_id=drawn("PNG").id,
    )  # fmt: skip
    taken = story.act(f"took a slip from {label}: {whole.name}", lambda act: sources.save_slip(act, whole))
    bare = story.act(
        f"took a slip from {label}",
        lambda act: sources.save_slip(act, Slip("", source_id, "They fell together.")),
    )
    story.act(f"sorted the slip {taken.id}: back-heel", lambda act: sources.sort_slip(act, taken.id, term.id))
    story.act(f"sorted the slip {bare.id}", lambda act: sources.sort_slip(act, bare.id, term.id))
    now = lambda i: story.get(Slip, i)  # noqa: E731
    story.act(
        f"changed the slip {taken.id}: back-heel",
        lambda act: sources.save_slip(act, replace(now(taken.id), certainty=Certainty.PROBABLE)),
    )
    story.act(
        f"changed the slip {bare.id}",
        lambda act: sources.save_slip(act, replace(now(bare.id), certainty=Certainty.DOUBTFUL)),
    )
    story.act(f"joined slips of “{term.text}”", lambda act: sources.join_slips(act, [taken.id, bare.id]))
    story.act(f"parted slips of “{term.text}”", lambda act: sources.part_slips(act, [bare.id]))
    story.act("joined slips of “back-heel”", lambda act: sources.join_slips(act, [taken.id, "q1"]))
    for kind in SlipKind:
        story.act(
            "added a slip to c0015",
            lambda act, kind=kind: sources.save_slip(
                act, Slip("", source_id, f"A {kind.value} of the back-heel.", kind=kind, term_id=term.id)
            ),
        )
    mine = story.act("added a slip to c0016", lambda act: sources.save_slip(
        act, Slip("", source_id, "Another.", term_id=story.get(Entry, "c0016").terms[0].id)))  # fmt: skip
    story.act(
        f"changed slip {mine.id}",
        lambda act: sources.save_slip(act, replace(now(mine.id), text="Another, and one more.")),
    )
    story.act(f"took slip {mine.id} away", lambda act: sources.remove_slip(act, mine.id))
    for name in ("hank", ""):
        slip = story.act(
            f"took a slip from {label}{': ' + name if name else ''}",
            lambda act, name=name: sources.save_slip(act, Slip("", source_id, "Gone again.", name=name)),
        )
        story.act(
            f"removed the slip {slip.id}{': ' + name if name else ''}",
            lambda act, slip=slip: sources.remove_slip(act, slip.id),
        )


def tell_entries(story: Story) -> None:
    now = lambda i: story.get(Entry, i)  # noqa: E731

    def save(what, entry):
        return story.act(what, lambda act: entries.save(act, entry))

    made = save(
        "made the entry hank · hancyn",
        Entry("", topic=Topic.TRIP, terms=(
            Term("", "hank", "en", Origin.IN_USE, status=Status.PREFERRED),
            Term("", "hancyn", "cy", Origin.COINED, status=Status.PREFERRED),
        )),
    )  # fmt: skip
    every = zip_longest_terms()
    made = save(f"changed a name of {made.id}", replace(now(made.id), terms=(*now(made.id).terms, *every)))
    whole = replace(
        now(made.id),
        definitions=(Definition("en", "A leg twined round his."), Definition("cy", "Coes am goes.", "s5")),
        usage_note="Said of the leg only.", editor_note="Look at the letter again.",
        analogues=(Analogue("hank", "en", "an invented style", "s1"), Analogue("x", "br", "another")),
        figures=(Figure(drawn("PNG").id, "A leg", "A. Nobody", "© nobody", "s1"),),
    )  # fmt: skip
    save(f"changed the definition of {made.id}", replace(now(made.id), definitions=whole.definitions))
    save(f"changed the notes of {made.id}", replace(now(made.id), usage_note=whole.usage_note,
                                                    editor_note=whole.editor_note))  # fmt: skip
    save(f"changed the analogues of {made.id}", replace(now(made.id), analogues=whole.analogues))
    save(f"changed the figures of {made.id}", replace(now(made.id), figures=whole.figures))
    for topic in Topic:
        if now(made.id).topic is not topic:
            save(f"changed the topic of {made.id}", replace(now(made.id), topic=topic))
    save(f"changed the topic of {made.id}", replace(now(made.id), topic=None))
    save(f"changed the topic of {made.id}", replace(now(made.id), topic=Topic.TRIP))
    term = now(made.id).terms[2]
    for do, what in (
        (lambda act: entries.prefer(act, made.id, term.id), "preferred a name of"),
        (lambda act: entries.move_term(act, made.id, now(made.id).terms[1].id, 1), "moved a name of"),
        (lambda act: entries.delete_term(act, made.id, term.id), "took a name away from"),
    ):
        story.act(f"{what} {made.id}", do)
    profile = now("c0015").technique
    save(f"stated how {made.id} is done", replace(now(made.id), technique=profile))
    for n, reads in enumerate(("broader", "narrower", "counter to", "follows", "contrasts with", "see also")):
        target = f"c00{12 + n}"
        story.act(
            f"related {made.id} to another entry",
            lambda act, reads=reads, target=target: entries.relate(act, made.id, reads, target),
        )
    story.act(
        f"took a relation away from {made.id}",
        lambda act: entries.unrelate(act, made.id, "see also", "c0017"),
    )
    code = story.get(RuleCode, "r1").name
    story.act(
        f"ruled on {made.id} under {code}",
        lambda act: entries.rule(act, made.id, "r1", "fits", "The letter says so."),
    )
    story.act(
        f"took a ruling away on {made.id} under {code}", lambda act: entries.rule(act, made.id, "r1", "", "")
    )
    story.act(
        f"ruled on c0015 under {code}",
        lambda act: entries.rule(act, "c0015", "r1", "breaks the rules", "breaks the rules"),
    )
    gone = save("made the entry gone", Entry("", terms=(Term("", "gone", "en", Origin.REBUILT),)))
    story.act(f"removed entry {gone.id}", lambda act: entries.remove(act, gone.id))
    tell_readings(story, made.id)
    tell_trials(story, made.id)


def zip_longest_terms() -> tuple[Term, ...]:
    """Names that between them have every member of every list."""
    lists = (Origin, PartOfSpeech, Gender, Number, Register, TermType, Status)
    length = max(len(tuple(members)) for members in lists)
    found = []
    for n in range(length):
        origin, speech, gender, number, register, kind, status = (
            tuple(members)[n % len(tuple(members))] for members in lists
        )
        found.append(
            Term(
                "", f"enw {n}", "cy", origin, printed=f"ENW {n}", printed_language="cy-GB",
                part_of_speech=speech, gender=gender, number=number,
                forms=(InflectedForm("plural", f"enwau {n}"), InflectedForm("", f"enwi {n}")),
                pronunciation="ˈɛnu",
                register=register, region="the Vale", usage_note="One of many.", type=kind,
                status=Status.ADMITTED if status is Status.PREFERRED else status, sort_text=f"en͏w {n}",
            )
        )  # fmt: skip
    return tuple(found)


def tell_readings(story: Story, entry_id: str) -> None:
    """Readings signed and put back to open for every reason that we write, and for a person's own."""
    now = lambda: story.get(Entry, entry_id)  # noqa: E731

    def sign() -> None:
        for which in ("language", "practice"):
            if not getattr(now(), f"{which}_reading").signed:
                story.act(
                    f"read {entry_id} for {which}",
                    lambda act, which=which: entries.sign(act, entry_id, which),
                )

    changes = {
        "the names": lambda e: replace(e, terms=(replace(e.terms[0], region="elsewhere"), *e.terms[1:])),
        "a definition": lambda e: replace(e, definitions=(Definition("en", "A leg round his."),)),
        "the usage note": lambda e: replace(e, usage_note="Said of the leg."),
        "the technique": lambda e: replace(
            e, technique=replace(e.technique, facing=Stated("side", "reading", "R.A."))
        ),
        "the topic": lambda e: replace(e, topic=Topic.LIFT),
        "a relation": lambda e: replace(e, relations=e.relations[:-1]),
    }
    assert set(changes) == set(COVERED)
    for change in changes.values():
        sign()
        story.act(
            f"changed the notes of {entry_id}", lambda act, change=change: entries.save(act, change(now()))
        )
    for why in (
        "",
        ODD,
        "by Elin Maesgwyn",
        "the names changed after it was signed, or so",
        "c0001 was merged into it after it was signed",
    ):
        sign()
        for which in ("language", "practice"):
            story.act(
                f"put the reading of {entry_id} for {which} back to open",
                lambda act, which=which, why=why: entries.reopen_reading(act, entry_id, which, why),
            )


def tell_trials(story: Story, entry_id: str) -> None:
    for outcome in Outcome:
        trial = Trial(
            "", entry_id, "2026-02", outcome, "Hall", "R.A., S.L.", "r1", "Strap hold.", "At half speed.",
            "Slower." if outcome is Outcome.WORKS_CHANGED else "", "Mats, coach by.", "A bruise.",
            (drawn("JPEG").id,),
        )  # fmt: skip
        made = story.act(
            f"recorded a trial of {entry_id}", lambda act, trial=trial: trial_acts.save(act, trial)
        )
    story.act(
        f"changed trial {made.id}",
        lambda act: trial_acts.save(act, replace(made, done="At full speed, once.")),
    )
    gone = story.act(
        "recorded a trial of c0015",
        lambda act: trial_acts.save(act, Trial("", "c0015", "2026-02-01", Outcome.FAILS)),
    )
    story.act(f"removed trial {gone.id}", lambda act: trial_acts.remove(act, gone.id))


def tell_rules(story: Story) -> None:
    made = story.act(
        "added the rule code Open (trial): by mistake",
        lambda act: rules.save_code(
            act, RuleCode("", "Open (trial): by mistake", "Nowhere", "1901/..", "None.")
        ),
    )
    made = story.act(
        f"changed the rule code {made.name}",
        lambda act: rules.save_code(act, replace(made, clauses=story.get(RuleCode, "r1").clauses[:2])),
    )
    story.act(f"removed the rule code {made.name}", lambda act: rules.remove_code(act, made.id))

    def codes(n):
        return [RuleCode("", f"Code {n}-{k}", clauses=story.get(RuleCode, "r2").clauses) for k in range(n)]

    story.act("took in 1 rule code", lambda act: rules.import_codes(act, codes(1)))
    story.act("took in 2 rule codes", lambda act: rules.import_codes(act, codes(2)))
    story.act("took in rule codes from rules.toml", lambda act: rules.import_codes(act, codes(3)))
    profile = story.get(Entry, "c0015").technique

    def profiles(*ids):
        return [NamedProfile(i, story.get(Entry, i).terms[0].text, profile=profile) for i in ids]

    story.act("took in 1 technique", lambda act: techniques.import_profiles(act, profiles("c0054"), "p.toml"))
    story.act(
        "took in 2 techniques",
        lambda act: techniques.import_profiles(act, profiles("c0055", "c0056"), "p.toml"),
    )
    story.act(
        "took in techniques from p.toml",
        lambda act: techniques.import_profiles(act, profiles("c0057"), "p.toml"),
    )
    story.act(
        "took in list of names.csv",
        lambda act: entries.save(
            act, Entry("", terms=(Term("", "from a file", "en", Origin.WORD_LIST),), editor_note="By a file.")
        ),
    )


def lines_in(story: Story, *states: LineState) -> list[Line]:
    with story.store.read() as reader:
        return [line for line in reader.all(Line) if line.state in states]


def tell_lines(story: Story) -> None:
    label = story.get(Source, "s4").label
    text = (
        "cornish hug, s. [strap] cofl Gernyw, m.\nbelt, s. [strap] gwregys, m.\nnip, s. [box] pinsiad, m.\n"
    )
    page = story.act(
        f"entered page 44 of {label}", lambda act: pages.add_page(act, "s4", "44", text, drawn("PNG").id)
    )
    story.act(f"changed page 44b of {label}", lambda act: pages.change_page(act, page, "44b"))
    gone = story.act(f"entered page 45 of {label}", lambda act: pages.add_page(act, "s4", "45", text))
    story.act(f"took away page 45 of {label}", lambda act: pages.remove_page(act, gone.id))

    def accept(act: Act, page_id: str) -> object:
        lines = [x for x in act.all(Line) if x.state is LineState.NEW and page_id in ("", x.page_id)]
        return accepting.accept_all_clear(act, lines[:2], likeness.Resembler(act), also_alike=True)

    story.act(f"accepted all clear lines of page 44b of {label}", lambda act: accept(act, page.id))
    story.act("accepted all clear lines of w2", lambda act: accept(act, "w2"))
    story.act("accepted all clear lines of all pages", lambda act: accept(act, ""))

    open_lines = lines_in(story, LineState.NEW)
    on = lambda n: open_lines[n].id  # noqa: E731
    on_line(story, on(0), "made an entry", lambda act: pages.make(act, on(0)))
    made = story.get(Line, on(0)).entry_ids[0]
    on_line(story, on(0), "related to c0003", lambda act: pages.relate(act, on(0), "c0003"))
    on_line(story, on(1), "attached to c0065", lambda act: pages.attach(act, on(1), "c0065"))
    on_line(
        story, on(1), "reopened, and the names it brought taken away",
        lambda act: pages.reopen(act, on(1), with_names=True),
    )  # fmt: skip
    on_line(story, on(1), f"attached to {made}", lambda act: pages.attach(act, on(1), made))
    on_line(story, on(2), "attached to c0003", lambda act: pages.attach(act, on(2), "c0003"))
    on_line(story, on(2), "reopened", lambda act: pages.reopen(act, on(2)))
    parsed = open_lines[2].parsed
    on_line(
        story, on(2), "corrected",
        lambda act: pages.correct(act, on(2), replace(parsed, headword=parsed.headword + "ing",
            printed=(Printed("headword", parsed.headword, "by hand"),))),
    )  # fmt: skip
    for n, reason in enumerate(
        (*(words for _, words in REASONS), "another sport: boxing", ODD, "another style, by its label or so",
         "breaks the rules under nothing: no, really", "reopened (twice)")
    ):  # fmt: skip
        line = on(3 + n)
        on_line(story, line, f"set aside ({reason})", lambda act, line=line, reason=reason: pages.set_aside(
            act, line, reason))  # fmt: skip
    code = story.get(RuleCode, "r1")
    story.act(
        f"trimmed page 43 of {label} under {code.name}",
        lambda act: trimming.set_aside_breaches(
            act,
            story.get(Source, "s4"),
            [story.get(Page, "w3")],
            code,
            other_styles=("open", "box"),
            with_notes=True,
        ),
    )
    story.act(
        f"trimmed {label} under {code.name}",
        lambda act: trimming.set_aside_breaches(
            act,
            story.get(Source, "s4"),
            act.all(Page, source_id="s4"),
            code,
            other_styles=("box",),
            with_notes=True,
        ),
    )
    set_aside_by_verdict(story, (on(14), on(15), on(16)), code)


def set_aside_by_verdict(story: Story, line_ids: Sequence[str], code: RuleCode) -> None:
    """The three reasons of a trimming, as `termbase.trimming` words them."""
    why = "the hands may not leave their hold (F2)"
    reasons = (
        f"breaks the rules under {code.name}: {why}",
        f"breaks the rules under {code.name}, judged as c0015 back-heel: same English name: {why}",
        "another style, by its label “box”",
    )
    for line_id, reason in zip(line_ids, reasons, strict=True):
        story.act(
            f"trimmed page 43 of {story.get(Source, 's4').label} under {code.name}",
            lambda act, line_id=line_id, reason=reason: act.put(
                replace(act.get(Line, line_id), state=LineState.SET_ASIDE, reason=reason)
            ),
        )


def filled(template: str, **more: str) -> str:
    values = {
        "words": "sb. (see", "word": "qn.", "number": "3", "before": "1", "sign": "[", "n": "4102", **more
    }  # fmt: skip
    return template % values


def wanted() -> list[str]:
    """Everything that can be said to be expected."""
    found = []
    for template in WANTED:
        if "%(part)s" in template:
            found += [template % {"part": part, "sign": "["} for part in PARTS.values()]
        else:
            found.append(template)
    return list(dict.fromkeys(found))


def tell_troubles(story: Story) -> None:
    """Lines with every problem in every wording, and every part whose printed spelling is kept."""
    expected = [
        filled(template, part=part)
        for template in (EXPECTED, EXPECTED_BUT, EXPECTED_BUT_ENDS)
        for part in wanted()
    ]
    rest = [filled(t) for t in TROUBLES if t not in (EXPECTED, EXPECTED_BUT, EXPECTED_BUT_ENDS)]
    whys = [*expected, *rest]
    parts = [
        *PARTS.values(),
        *(f"sense {n} {part}" for n in (1, 12) for part in PARTS.values()),
        *(f"sense {n} equivalent 2 {part}" for n in (1, 12) for part in PARTS.values()),
        "sense 1 equivalent 2", "sense 12 equivalent 11",
    ]  # fmt: skip
    label = story.get(Source, "s4").label
    text = "".join(f"problem {n}, zz. [strap] problem {n}\n" for n in range(8))
    page = story.act(f"entered page 50 of {label}", lambda act: pages.add_page(act, "s4", "50", text))
    with story.store.read() as reader:
        lines = [x for x in reader.all(Line, page_id=page.id) if x.parsed is not None]

    def problems(act: Act) -> None:
        step, stride = -(-len(whys) // len(lines)), -(-len(parts) // len(lines))
        for n, line in enumerate(lines):
            parsed = replace(
                line.parsed,
                troubles=tuple(Trouble(k + 1, why) for k, why in enumerate(whys[n * step : (n + 1) * step])),
                printed=tuple(
                    Printed(part, f"spelling {k}", ("abbreviation", "ditto", "by hand")[k % 3])
                    for k, part in enumerate(parts[n * stride : (n + 1) * stride])
                ),
                rest=line.text.strip(),
            )
            act.put(replace(line, parsed=parsed, state=LineState.UNPARSED))

    story.act(f"changed the line pattern of {label}", problems)


def tell_merging(story: Story) -> None:
    for this, other in (("c0041", "c0042"), ("c0046", "c0045"), ("c0047", "c0046")):
        for entry_id in (this, other):
            for which in ("language", "practice"):
                story.act(f"read {entry_id} for {which}",
                          lambda act, i=entry_id, which=which: entries.sign(act, i, which))  # fmt: skip
        with story.store.read() as reader:
            asked = merging.preview(reader, this, other).questions
        chosen = {question.key: question.answers[0] for question in asked}
        story.act(
            f"merged {other} into {this}",
            lambda act, this=this, other=other, chosen=chosen: merging.merge(act, this, other, chosen),
        )
    story.act("parted c0042 again", lambda act: merging.separate(act, "c0042"))
    with story.store.read() as reader:
        asked = merging.preview(reader, "c0041", "c0042").questions
    chosen = {question.key: question.answers[-1] for question in asked}
    story.act("merged c0042 into c0041", lambda act: merging.merge(act, "c0041", "c0042", chosen))
    story.act("parted c0042", lambda act: merging.separate(act, "c0042"))


def tell_undoing(story: Story) -> None:
    story.act(
        "changed the notes of c0012",
        lambda act: entries.save(act, replace(act.get(Entry, "c0012"), usage_note="One more word.")),
    )
    changed = story.last
    story.undo("took back: changed the notes of c0012")
    story.undo("took back: took back: changed the notes of c0012")
    story.undo(f"took back act {story.last}")
    day = f"{START:%Y-%m-%d}"
    story.act(
        f"brought back c0012 as it was after {day} (changed the notes of c0012)",
        lambda act: history.restore_state(act, "entry", "c0012", changed),
    )
    line = lines_in(story, LineState.NEW)[-1].id
    on_line(story, line, "set aside (took back: (odd) line)", lambda act: pages.set_aside(
        act, line, "took back: (odd) line"))  # fmt: skip
    with story.store.read() as reader:
        what = reader.last_acts(1)[0].what
    story.undo(f"took back: {what}")
    story.act(
        "did what no version of the program does",
        lambda act: entries.save(act, replace(act.get(Entry, "c0013"), editor_note="An act in other words.")),
    )


def templates() -> dict[str, list[str]]:
    return {
        "acts": list(DEEDS),
        "acts on lines": list(OF_LINES),
        "kept with lines": list(KEPT),
        "expected": list(WANTED),
        "parts of a line": list(PARTS.values()),
        "printed parts": list(PRINTED_PARTS),
        "reopened": list(REOPENED),
        "covered by readings": list(COVERED),
        "usual reasons": [words for _, words in REASONS],
    }


if __name__ == "__main__":
    store = loading.fill(sys.argv[1], small_demo())
    tell(store)
    store.close()
    Path(__file__).with_name("templates.json").write_text(
        json.dumps(templates(), ensure_ascii=False, indent=1) + "\n", "utf-8"
    )
