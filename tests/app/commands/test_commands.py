"""What the commands do and print, and the structure of their JSON documents."""

from pathlib import Path
from typing import Any

import pytest

from termbase.acts import entries as entry_acts
from termbase.acts import pages as page_acts
from termbase.codes.lines import Aside
from termbase.languages import files
from termbase.record.entries import Entry
from termbase.record.pages import Line, LineState
from termbase.record.sources import Source
from termbase.store.engine import Store

WELSH = Path(files.__file__).with_name("cy.toml")


def read(shell: Any, cls: type) -> tuple[Any, ...]:
    store = Store.open(str(shell.db))
    with store.read() as reader:
        result = reader.all(cls)
    store.close()
    return tuple(result)


def test_the_whole_workflow_from_new_to_publish(bare: Any, tmp_path: Path) -> None:
    """A new termbase, a source, a page, entries, an export: a researcher's whole workflow."""
    page = tmp_path / "p12.txt"
    page.write_text("back-heel, s. [strap] bachiad sawdl, m.\ntwine, s. [strap] plethiad, m.\n???\n", "utf-8")
    assert bare("new", "--title", "Words", "--vernacular", "cy").code == 0
    assert bare("upgrade").out.endswith("is up to date.\n")
    added = bare(
        "source", "add", "Vale 1898", "--title", "A List", "--issued", "1898", "--pattern", "pocket list"
    )
    assert added.out == "Added s1 (Vale 1898).\n"

    entered = bare("page", "add", str(page), "--source", "Vale 1898", "--page", "12")
    accepted = bare("page", "accept", "--all-clear")

    assert entered.out.startswith("Entered w1: 3 lines to do")
    assert "Lines accepted: 2. Entries created: 2. Lines skipped: 1." in accepted.out
    assert "skipped\tl3\t" in accepted.out
    assert bare("find", "phlethiad").out.startswith("c0002\tplethiad\tcy\t")
    assert bare("export", "tbx", "-o", str(tmp_path / "words.tbx")).code == 0
    assert "bachiad sawdl" in (tmp_path / "words.tbx").read_text("utf-8")


def test_the_name_in_the_history_is_the_one_given(shell: Any) -> None:
    shell("source", "add", "Almanac", "--title", "An Almanac", "--as", "  Siân   Ŵyn ")

    store = Store.open(str(shell.db))
    with store.read() as reader:
        (newest,) = reader.last_acts(1)
    store.close()
    assert (newest.by, newest.words) == ("Siân Ŵyn", "added the source Almanac")


def test_an_act_is_undone_and_redone(shell: Any) -> None:
    shell("source", "add", "Almanac", "--title", "An Almanac")

    undone = shell("undo")
    assert "Records restored: 1." in undone.out
    assert "Almanac" not in {s.label for s in read(shell, Source)}
    shell("undo")
    assert "Almanac" in {s.label for s in read(shell, Source)}


def test_a_source_that_nothing_depends_on_is_deleted(shell: Any) -> None:
    shell("source", "add", "Almanac", "--title", "An Almanac")

    removed = shell("source", "remove", "Almanac")

    assert removed.code == 0
    assert "Almanac" not in {s.label for s in read(shell, Source)}


def test_sources_are_listed_as_text_and_as_json(shell: Any) -> None:
    lines = shell("source", "list").out.splitlines()
    listed = shell("source", "list", "--json").document["sources"]

    assert lines[0] == "s1\tAdvertiser\tnewspaper\t1866/1909\tThe Glanmorwen Advertiser"
    assert [s["id"] for s in listed] == [line.split("\t")[0] for line in lines]
    assert listed[0]["styles"] == ["strap-hold", "open-hold"]


def test_stock_patterns_are_listed_and_printed(bare: Any, tmp_path: Path) -> None:
    listed = [line.split("\t")[0] for line in bare("source", "patterns").out.splitlines()]
    printed = bare("source", "patterns", listed[0]).out
    (tmp_path / "mine.toml").write_text(printed, "utf-8")
    bare("new", "--title", "Words", "--vernacular", "cy")

    added = bare("source", "add", "Vale", "--title", "A List", "--pattern", str(tmp_path / "mine.toml"))

    assert added.code == 0
    assert read(bare, Source)[0].pattern == printed


def test_page_lines_show_the_state_of_each_line(shell: Any) -> None:
    whole = shell("page", "lines", "w1", "--json").document["lines"]
    left = shell("page", "lines", "w1", "--left", "--json").document["lines"]

    assert {line["state"] for line in left} <= {"new", "unparsed"}
    assert [line for line in whole if line in left] == left
    assert [line["position"] for line in whole] == sorted(line["position"] for line in whole)
    assert len(shell("page", "lines").out.splitlines()) == len(read(shell, Line))


def test_accept_reports_new_entries_and_remaining_lines_with_reasons(shell: Any) -> None:
    before = len(read(shell, Entry))

    document = shell("page", "accept", "--all-clear", "--json").document

    assert len(read(shell, Entry)) == before + len(document["made"])
    assert all(left["line"] and left["why"] for left in document["left"])
    assert document["lines"] >= len(document["left"])


def test_find_gives_the_reason_for_each_hit(shell: Any) -> None:
    hit = shell("find", "fachiad sawdl", "--json").document["hits"][0]

    assert (hit["entry_id"], hit["text"], hit["how"]) == ("c0015", "bachiad sawdl", "mutated")
    assert shell("find", "fachiad sawdl").out.startswith(
        "c0015\tbachiad sawdl\tcy\tback-heel\tA mutated form of"
    )
    assert shell("find", "zzzzzz").out == "Nothing like 'zzzzzz' was found.\n"
    assert shell("find", "zzzzzz", "--json").document["hits"] == []
    assert {h["language"] for h in shell("find", "back", "--language", "en", "--json").document["hits"]} == {
        "en"
    }


def test_an_entry_is_shown_with_its_evidence_its_verdicts_and_the_cautions(shell: Any) -> None:
    output = shell("show", "c0015").out

    assert "back-heel · bachiad sawdl" in output
    assert "Glanmorwen Fair rules (1868): fits" in output
    assert "in use by several witnesses" in output
    assert "Within the rules does not mean safe." in " ".join(output.split())
    assert "It is evidence of nothing." in output


def test_a_document_has_every_field_of_its_records_and_closed_lists_in_words(shell: Any) -> None:
    article = shell("show", "c0015", "--json").document["article"]

    assert article["entry"]["language_reading"].keys() == {"by", "on", "reopened"}
    assert article["entry"]["topic"] == "trip"
    assert {"origin", "printed", "sort_text", "status"} <= article["entry"]["terms"][0].keys()
    assert {slip["kind"] for slips in article["slips"].values() for slip in slips} <= {
        "use", "mention", "definition", "headword", "rule", "description", "not stated",
    }  # fmt: skip
    assert article["mechanic"].keys() == {"scale", "reasons", "counts"}
    assert {j["verdict"]["word"] for j in article["judged"]} <= {
        "fits", "fits with a changed grip", "breaks the rules", "open",
    }  # fmt: skip


def test_judge_covers_one_or_all_entries_under_one_or_all_codes(shell: Any) -> None:
    all_of_them = shell("judge", "--json").document["verdicts"]
    under_one = shell("judge", "--code", "r1", "--json").document["verdicts"]
    of_one = shell("judge", "c0015", "--json").document["verdicts"]

    assert under_one == [v for v in all_of_them if v["code"] == "r1"]
    assert [{**v, "change": None} for v in all_of_them if v["entry"] == "c0015"] == [
        {**v, "change": None} for v in of_one
    ]
    assert all(v["verdict"]["word"] for v in all_of_them)
    output = shell("judge", "c0015", "--code", "r1").out
    assert "[clause F2, F3; s5; slip q73]" in output


def test_an_entry_without_a_technique_has_nothing_to_judge(shell: Any) -> None:
    assert shell("judge", "c0001").out.endswith("there is nothing to judge.\n")
    assert shell("judge", "c0001", "--json").document["verdicts"] == []


def test_proof_lists_the_same_findings_as_text_and_as_json(shell: Any) -> None:
    findings = shell("proof", "--json").document["findings"]
    output = shell("proof").out

    assert all(finding["what"] in output for finding in findings)
    assert all(all(finding[name] for name in finding if name != "other_id") for finding in findings)


@pytest.mark.parametrize("dialect", ["basic-dca", "basic-dct"])
def test_export_tbx_reports_what_it_left_out(shell: Any, tmp_path: Path, dialect: str) -> None:
    file = tmp_path / "glossary.tbx"

    document = shell("export", "tbx", "--dialect", dialect, "-o", str(file), "--json").document

    assert document["file"] == str(file)
    assert document["report"]["entries"] == len(read(shell, Entry))
    assert {"path", "label", "carried", "noted", "left_out", "why"} == document["report"]["fields"][0].keys()
    assert "Left out:" in shell("export", "tbx", "--dialect", dialect, "-o", str(file)).out


def test_printing_the_glossary_twice_gives_the_same_file(
    shell: Any, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("SOURCE_DATE_EPOCH", "1772323200")
    first, again, ready = (tmp_path / name for name in ("first.pdf", "again.pdf", "ready.pdf"))

    document = shell("publish", "pdf", "-o", str(first), "--json").document["report"]
    shell("publish", "pdf", "-o", str(again))
    fewer = shell("publish", "pdf", "-o", str(ready), "--ready-only", "--paper", "a4", "--json").document[
        "report"
    ]

    assert first.read_bytes() == again.read_bytes()
    assert first.read_bytes().startswith(b"%PDF-")
    assert fewer["entries"] == document["entries"] - document["drafts"]
    assert fewer["drafts"] == 0


def test_the_demo_is_created_once_with_its_files(bare: Any, tmp_path: Path) -> None:
    first = bare("demo", "--no-serve", "--dir", str(tmp_path / "demo"))
    again = bare("demo", "--no-serve", "--dir", str(tmp_path / "demo"))

    assert first.code == again.code == 0
    assert {"demo.sqlite", "glossary.tbx", "glossary.pdf"} <= {p.name for p in (tmp_path / "demo").iterdir()}
    assert "Using the existing demo" in again.out


def test_languages_are_listed(bare: Any) -> None:
    assert "cy\tWelsh\n" in bare("languages", "list").out


def test_lines_are_sorted_by_the_alphabet_of_the_language(bare: Any) -> None:
    words = "llechen\nlapio\nchwarae\ncodwm\nŵyn\nddoe\ndydd\n"

    output = bare("languages", "sort", "cy", stdin=words.encode())

    # ch after c, dd after d, ll after l: the Welsh alphabet (Geiriadur Prifysgol Cymru, order of letters)
    assert output.out.split() == ["codwm", "chwarae", "dydd", "ddoe", "lapio", "llechen", "ŵyn"]
    assert bare("languages", "sort", "en", stdin=words.encode()).out.split()[0] == "chwarae"
    assert bare("languages", "sort", "cy").out == ""


def test_forms_without_a_word_list_are_all_that_the_mutations_allow(bare: Any) -> None:
    output = bare("languages", "forms", "cy", "fachiad")
    document = bare("languages", "forms", "cy", "fachiad", "--json").document

    assert {h["headword"] for h in document["headwords"]} == {"fachiad", "bachiad", "machiad"}
    assert output.out.splitlines()[0].split("\t")[0] == document["headwords"][0]["headword"]
    assert document["language"] == "cy"


def test_forms_with_a_word_list_are_limited_to_it(bare: Any, tmp_path: Path) -> None:
    words = tmp_path / "words.txt"
    words.write_text("bachiad\n\ncodwm\ncwymp\n", "utf-8")

    document = bare("languages", "forms", "cy", "fachiad", "--words", str(words), "--json").document
    assert document["headwords"] == [{"headword": "bachiad", "how": "mutated", "note": "soft, b > f"}]
    assert (
        bare("languages", "forms", "cy", "fachiad", "--words", str(words)).out
        == "bachiad\tmutated\tsoft, b > f\n"
    )
    assert bare("languages", "forms", "cy", "zzz", "--words", str(words)).out == ""


def test_a_language_file_is_checked_line_by_line(bare: Any, tmp_path: Path) -> None:
    clean = bare("languages", "check", str(WELSH))
    file = tmp_path / "cy.toml"
    file.write_text(WELSH.read_text("utf-8").replace('tag = "cy"', 'tag = "welsh!"'), "utf-8")
    faulty = bare("languages", "check", str(file))

    assert (clean.code, clean.out) == (0, f"{WELSH}: no mistakes.\n")
    assert faulty.code == 2
    assert faulty.out
    assert all(line.startswith(f"{file}:") for line in faulty.out.splitlines())


def test_output_is_utf_8_and_not_escaped(shell: Any) -> None:
    assert '"text": "ŵyn"' in shell("find", "ŵyn", "--json").out


def test_documents_give_stored_codes_in_english(shell: Any) -> None:
    store = Store.open(str(shell.db))
    with store.act("Gwen", "set some aside") as act:
        lines = [line for line in act.all(Line) if line.state is LineState.NEW][:2]
        page_acts.set_aside(act, lines[0].id, "seen elsewhere")
        page_acts.set_aside(act, lines[1].id, Aside.OTHER_STYLE(label="box"))
        troubled = next(line for line in act.all(Line) if line.parsed and line.parsed.troubles)
        entry_acts.sign(act, "c0001", "language")
        entry_acts.reopen_reading(act, "c0001", "language", "by mistake")
        entry_acts.sign(act, "c0001", "practice")
        entry_acts.reopen_reading(act, "c0001", "practice", "")
    store.close()

    document = {line["id"]: line for line in shell("page", "lines", "--json").document["lines"]}
    entry = shell("show", "c0001", "--json").document["article"]["entry"]

    assert document[lines[0].id]["reason"] == "“seen elsewhere”"
    assert document[lines[1].id]["reason"] == "another style, according to its label “box”"
    assert document[troubled.id]["parsed"]["troubles"][0].keys() == {"column", "why"}
    assert document[troubled.id]["parsed"]["troubles"][0]["why"].startswith("There should be the ")
    printed = [p for line in document.values() if line["parsed"] for p in line["parsed"]["printed"]]
    assert {p["part"] for p in printed} >= {"part of speech", "style", "sense 1 equivalent 2 gender"}
    assert {p["why"] for p in printed} == {"abbreviation", "ditto"}
    assert entry["language_reading"]["reopened"] == "“by mistake”"
    assert entry["practice_reading"]["reopened"] == "by Gwen"
    assert entry["language_reading"]["by"] == ""
