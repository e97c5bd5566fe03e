"""The invented demo: its size, its integrity, and only deliberate flaws."""

import re
import shutil
from collections import Counter
from hashlib import sha256
from io import BytesIO
from pathlib import Path
from unicodedata import normalize

import msgspec
import PIL.Image
import pytest

import termbase.demo
from termbase.dates import edtf
from termbase.demo.loading import load
from termbase.demo.rows import Demo
from termbase.errors import BadInput
from termbase.evidence.scales import NameScale, name_evidence
from termbase.evidence.witnesses import witnesses
from termbase.judging.deciding import judge
from termbase.judging.verdict import VERDICT_WORDS
from termbase.languages import tags
from termbase.overviews.articles import Library
from termbase.proofing.checks import proof
from termbase.record.entries import Origin, PartOfSpeech, Status, Term
from termbase.record.pages import LineState
from termbase.record.sources import SlipKind
from termbase.store.engine import Store

FOLDER = Path(termbase.demo.__file__).parent
MISPRINTS = (
    "gwregvs",
    "gluu",
    "gocs",
    "codyman",
    "dihangta",
    "ysgwvdd",
    "saflad",
    "llechan",
    "haner ",
    "penglin",
)


@pytest.fixture(scope="module")
def demo() -> Demo:
    return load()


def welsh(demo: Demo) -> list[Term]:
    return [t for e in demo.entries for t in e.terms if t.language == "cy"]


@pytest.mark.parametrize(
    ("part", "least", "most"),
    [
        ("entries", 60, 75),
        ("sources", 15, 15),
        ("codes", 3, 3),
        ("trials", 20, 20),
        ("pages", 3, 3),
        ("people", 3, 6),
        ("images", 4, 4),
        ("reports", 10, 15),
    ],
)
def test_the_demo_has_the_promised_size(demo: Demo, part: str, least: int, most: int) -> None:
    assert least <= len(getattr(demo, part)) <= most


def test_there_are_about_150_terms_and_90_slips_besides_headwords(demo: Demo) -> None:
    assert 150 <= sum(len(e.terms) for e in demo.entries) <= 190
    assert 90 <= sum(s.kind is not SlipKind.HEADWORD for s in demo.slips) <= 130


def test_ids_have_no_gaps_and_versions_are_zero(demo: Demo) -> None:
    terms = [t for e in demo.entries for t in e.terms]
    groups = {"p": demo.people, "s": demo.sources, "r": demo.codes, "t": terms, "q": demo.slips,
              "w": demo.pages, "l": demo.lines, "m": demo.trials}  # fmt: skip
    for letter, records in groups.items():
        assert [r.id for r in records] == [f"{letter}{n}" for n in range(1, len(records) + 1)]
        assert all(getattr(r, "version", 0) == 0 for r in records)
    assert [e.id for e in demo.entries] == [f"c{n:04d}" for n in range(1, len(demo.entries) + 1)]


def test_the_demo_says_that_it_is_invented(demo: Demo) -> None:
    assert "invented" in demo.termbase.title
    assert "evidence of nothing" in demo.termbase.notice


def test_all_texts_are_in_unicode_nfc() -> None:
    for path in FOLDER.rglob("*.t*t*"):
        text = path.read_text(encoding="utf-8")
        assert normalize("NFC", text) == text, path.name


def test_all_dates_are_edtf_and_all_language_tags_well_formed(demo: Demo) -> None:
    dates = [s.issued for s in demo.sources] + [s.date for s in demo.slips] + [t.date for t in demo.trials]
    dates += [r.date for r in demo.reports] + [c.period for c in demo.codes]
    for date in filter(None, dates):
        edtf.parse(date)
    named = {t.language for e in demo.entries for t in e.terms} | {
        a.language for e in demo.entries for a in e.analogues
    }
    named |= {d.language for e in demo.entries for d in e.definitions} | {s.language for s in demo.sources}
    assert all(tags.is_well_formed(tag) and tags.canonical(tag) == tag for tag in named)


def test_period_texts_have_150_to_400_words(demo: Demo) -> None:
    assert all(150 <= len(r.text.split()) <= 400 for r in demo.reports)


def test_all_welsh_nouns_but_the_deliberate_flaw_have_a_gender(demo: Demo) -> None:
    nouns = (PartOfSpeech.NOUN, PartOfSpeech.VERBAL_NOUN)
    assert [t.text for t in welsh(demo) if t.part_of_speech in nouns and t.gender is None] == ["cofleidiad"]


def test_misprints_are_only_in_printed_forms_never_in_terms(demo: Demo) -> None:
    for term in (t for e in demo.entries for t in e.terms):
        texts = [term.text, *(f.text for f in term.forms)]
        assert not [m for m in MISPRINTS for text in texts if m in f"{text} "], term.text
    assert {t.text for t in welsh(demo) if t.printed} >= {"gwregys", "tafliad dros y glun", "hanner codwm"}


def test_every_welsh_word_list_name_is_printed_in_the_word_list(demo: Demo) -> None:
    printed = {
        e.text for line in demo.lines if line.parsed for s in line.parsed.senses for e in s.equivalents
    }
    listed = [t for t in welsh(demo) if t.origin is Origin.WORD_LIST]
    assert [t.text for t in listed if not {t.text, t.printed} & printed] == []


def test_all_made_up_names_but_the_deliberate_flaw_say_from_what(demo: Demo) -> None:
    made_up = [t for e in demo.entries for t in e.terms if t.origin in (Origin.REBUILT, Origin.COINED)]
    assert len(made_up) >= 15
    assert [t.text for t in made_up if not t.usage_note] == ["gafael bell"]


def test_made_up_names_have_no_slips(demo: Demo) -> None:
    made_up = {t.id for e in demo.entries for t in e.terms if t.origin in (Origin.REBUILT, Origin.COINED)}
    assert not [s for s in demo.slips if s.term_id in made_up]


def test_no_entry_has_two_preferred_names_in_a_language(demo: Demo) -> None:
    for entry in demo.entries:
        counts = Counter(t.language for t in entry.terms if t.status is Status.PREFERRED)
        assert max(counts.values(), default=0) <= 1, entry.id


def test_most_entries_are_defined_in_both_languages(demo: Demo) -> None:
    counts = Counter(d.language for e in demo.entries for d in e.definitions)
    assert counts["en"] == len(demo.entries) - 1
    assert counts["cy"] >= len(demo.entries) - 4


def test_the_three_codes_give_every_verdict_several_times(demo: Demo) -> None:
    counts = Counter(
        judge(e.technique, code, names=[t.text for t in e.terms]).word
        for e in demo.entries
        if e.technique is not None
        for code in demo.codes
    )
    assert set(counts) == set(VERDICT_WORDS)
    assert min(counts.values()) >= 5


def test_profiles_are_based_on_slips_trials_and_readings(demo: Demo) -> None:
    text = msgspec.json.encode([e.technique for e in demo.entries]).decode()
    assert set(re.findall(r'"basis":"(\w+)"', text)) == {"slip", "trial", "reading"}


def test_all_lines_parse_but_the_four_deliberate_flaws(demo: Demo) -> None:
    records = [line for line in demo.lines if line.state is not LineState.FURNITURE]
    troubled = [line.text.strip()[:9] for line in records if line.parsed is None or line.parsed.troubles]
    assert troubled == ["blow s. [", "fall-back", "hook s [b", "swing s. "]
    assert len(troubled) / len(records) < 0.05


def test_each_page_has_about_40_records(demo: Demo) -> None:
    counts = Counter(x.page_id for x in demo.lines if x.state is not LineState.FURNITURE)
    assert all(35 <= number <= 46 for number in counts.values())


def test_the_lines_of_a_page_joined_are_its_transcription(demo: Demo) -> None:
    for page in demo.pages:
        lines = [x.text for x in demo.lines if x.page_id == page.id]
        assert "".join(lines).split() == page.transcription.split()


def test_the_third_page_is_mostly_open_and_the_others_mostly_worked(demo: Demo) -> None:
    left = Counter(x.page_id for x in demo.lines if x.state in (LineState.NEW, LineState.UNPARSED))
    total = Counter(x.page_id for x in demo.lines if x.state is not LineState.FURNITURE)
    assert left["w3"] / total["w3"] > 0.6
    assert left["w1"] / total["w1"] < 0.25
    assert left["w2"] / total["w2"] < 0.25


def test_broken_words_are_joined_and_ditto_marks_filled_in(demo: Demo) -> None:
    parsed = {x.parsed.headword: x.parsed for x in demo.lines if x.parsed}
    assert parsed["belt hold"].style == "strap-hold wrestling"
    assert parsed["half hip"].senses[0].equivalents[0].forms[0].text == "tafliadau hanner clun"
    assert parsed["leg reap"].senses[0].equivalents[0].text == "medi'r goes"
    assert parsed["leg reap"].senses[0].see == ("scythe",)
    assert parsed["besom"].see == ("foot sweep",)


def test_each_worked_line_is_evidence_for_a_name_of_its_entry(demo: Demo) -> None:
    quoted = {(s.page, s.line) for s in demo.slips if s.kind is SlipKind.HEADWORD}
    numbers = {p.id: p.number for p in demo.pages}
    silent = [x.text for x in demo.lines if x.entry_ids and (numbers[x.page_id], str(x.first)) not in quoted]
    assert silent == []


def test_pictures_have_their_stated_type_and_size(demo: Demo) -> None:
    shown = {p.image_id for p in demo.pages} | {f.image_id for e in demo.entries for f in e.figures}
    assert shown == {i.id for i in demo.images}
    for image in demo.images:
        assert image.id == sha256(image.data).hexdigest()[:16]
        assert len(image.data) < 250_000
        with PIL.Image.open(BytesIO(image.data)) as picture:
            assert (picture.format, picture.size) == ("WEBP", (image.width, image.height))


def test_reprints_count_as_one_witness(demo: Demo) -> None:
    sources = {s.id: s for s in demo.sources}
    term = next(t for e in demo.entries for t in e.terms if t.text == "slate-turn")
    slips = tuple(s for s in demo.slips if s.term_id == term.id)
    issued = {s.id: s.issued for s in demo.sources}
    uses = [w for w in witnesses(slips, issued) if len(w.slip_ids) > 1]
    labels = {s.id: sources[s.source_id].label for s in slips}
    assert [{labels[i] for i in w.slip_ids} for w in uses] == [{"Advertiser", "Lantern"}]


def test_the_demo_can_be_stored_and_proof_finds_its_flaws(demo: Demo, tmp_path: Path) -> None:
    store = Store.create(str(tmp_path / "demo.wordhold"), demo.termbase, by="test")
    with store.act("test", "filled") as act:
        for image in demo.images:
            act.add_image(image)
        for records in (
            demo.people,
            demo.sources,
            demo.codes,
            demo.entries,
            demo.slips,
            demo.pages,
            demo.lines,
            demo.trials,
        ):
            for record in records:
                act.add(record)
    with store.read() as reader:
        findings = {(f.check, f.record_id) for f in proof(Library(reader))}
    store.close()
    assert findings >= {
        ("no-definition", "c0037"), ("no-name", "c0022"), ("no-slip", "c0028"), ("use-unproved", "c0037"),
        ("no-preferred", "c0059"), ("made-up-unsaid", "c0011"), ("no-gender", "c0013"),
        ("no-technique", "c0017"), ("open-verdict", "c0051"), ("trial-contradicts", "c0023"),
        ("trial-contradicts", "c0030"), ("slip-out-of-time", "c0026"), ("homonym", "c0004"),
        ("slip-without-name", "c0036"), ("use-unproved", "c0027"), ("unsorted-slip", "q92"),
        ("source-gaps", "s15"), ("lines-left", "w3"), ("reading-open", "c0016"),
    }  # fmt: skip


@pytest.mark.parametrize(
    ("path", "old", "new", "place"),
    [
        ("people.toml", "roles", "rolls", "people.toml"),
        ("sources.toml", 'kind = "newspaper"', 'kind = "paper"', "source s1, field kind"),
        ("sources.toml", 'issued = "1898"', 'issued = "in 1898"', "source s4, field issued"),
        ("entries/c-trips.toml", 'broader = ["c0014"]', 'broader = ["c9999"]', "entry c0015"),
        ("entries/c-trips.toml", 'origin = "in use"', 'origin = "heard"', "field en[0].origin"),
        ("entries/b-holds.toml", 'source = "s9"', 'source = "s99"', "entry c0008, field figure"),
        ("entries/b-holds.toml", "wrestlers.webp", "boxers.webp", "pages/boxers.webp"),
        ("slips/newspapers.toml", "c0015 back-heel", "c0015 heel-back", "slip q2, field bears"),
        ("slips/newspapers.toml", "a sudden swing", "a swing", "slip q3, field text"),
        ("slips/others.toml", 'id = "q65"', 'id = "q64"', "q64"),
        ("trials.toml", 'code = "r3"', 'code = "r4"', "trial m1, field code"),
        ("techniques.toml", 'ref = "q73"', 'ref = "q999"', "technique c0015"),
        ("techniques.toml", 'id = "c0015"', 'id = "c9015"', "techniques.toml"),
        ("rulecodes.toml", 'sources = ["s5"]', 'sources = ["s55"]', "rulecodes.toml, code r1"),
        ("pages/page-43.toml", "line = 68", "line = 67", "page 43, line 67"),
        ("pages/page-43.toml", 'made = ["c0009"]', 'made = ["c0909"]', "pages, line"),
        ("reports/letter-1906-03-11.txt", "title:", "heading:", "letter-1906-03-11.txt, field heading"),
        ("termbase.toml", "title =", "title", "termbase.toml"),
    ],
)  # fmt: skip
def test_errors_name_the_file_and_field(path: str, old: str, new: str, place: str, tmp_path: Path) -> None:
    folder = tmp_path / "demo"
    shutil.copytree(FOLDER, folder, ignore=shutil.ignore_patterns("*.py", "__pycache__"))
    text = (folder / path).read_text(encoding="utf-8")
    assert old in text
    (folder / path).write_text(text.replace(old, new, 1), encoding="utf-8")
    with pytest.raises(BadInput) as caught:
        load(folder)
    assert place in str(caught.value)
    assert caught.value.fix


def test_evidence_of_names_has_every_degree(demo: Demo) -> None:
    issued = {s.id: s.issued for s in demo.sources}
    terms = [t for e in demo.entries for t in e.terms]
    scales = {name_evidence(t, [s for s in demo.slips if s.term_id == t.id], issued).scale for t in terms}
    assert scales == set(NameScale)
