"""The form to correct the reading of a line: a field for each part, with the printed line above.

Several values in one field are separated by semicolons; an inflected form is written `plural: codymau`, an
ending `-au` stays one. Fields of a sense are named `s1_…`, of an equivalent `s1_e1_…`, both from 1.
"""

import re
from collections.abc import Mapping
from dataclasses import replace
from typing import Final

from app.web.forms import Form
from app.web.language import gettext as _
from termbase.codes.wording import statement_text
from termbase.errors import BadInput
from termbase.fields.declarations import Path
from termbase.record.entries import Gender, Number, PartOfSpeech
from termbase.record.lines import (
    HEADWORD,
    LISTS,
    Equivalent,
    ParsedLine,
    Phrase,
    Printed,
    PrintedWhy,
    Sense,
    equivalent_path,
    is_name,
    listed_meaning,
    outside_said,
)
from termbase.record.lines import ParsedForm as Inflected
from termbase.record.pages import Line
from termbase.wordlists.as_printed import is_printed_in, kind_of_print, may_be_spelling

__all__ = ["CHOICES", "WHYS", "form_of", "parsed_from", "with_more"]

CHOICES = {
    "part_of_speech": tuple(p.value for p in PartOfSpeech),
    "gender": tuple(g.value for g in Gender),
    "number": tuple(n.value for n in Number),
}
"""Values that the fields of grammar can have."""

WHYS: Final = {
    PrintedWhy.BY_HAND: "another spelling of the name",
    PrintedWhy.DITTO: "a ditto mark",
    PrintedWhy.ABBREVIATION: "an abbreviation of it",
    PrintedWhy.BROKEN_WORD: "the word broken at the line end",
}
"""What a printed form can be beside the name, with its words in the form."""

MOST_ROWS = 60


def form_of(line: Line) -> Form:
    """Return the form for a line, filled with its reading."""
    parsed = line.parsed or ParsedLine()
    shown = _shown(parsed)
    senses = parsed.senses or (Sense(),)
    texts: dict[str, object] = {
        "headword": parsed.headword,
        **_printed_texts("headword", shown.get(HEADWORD)),
        "variants": "; ".join(parsed.variants),
        "part_of_speech": parsed.part_of_speech,
        "gender": parsed.gender,
        "number": parsed.number,
        "pronunciation": parsed.pronunciation,
        "style": parsed.style,
        "forms": _said(parsed.forms),
        "see": "; ".join(parsed.see),
        "note": parsed.note,
        "senses": len(senses),
        "version": line.version,
    }
    for n, sense in enumerate(senses, 1):
        texts |= _sense_texts(n, sense, shown)
    return Form.of(**texts)


def with_more(form: Form, where: str) -> Form:
    """The form with one row more for an equivalent of a sense (`s1`), or with one sense more (`sense`)."""
    if where == "sense":
        number = _count(form, "senses") + 1
        blank = {name: _texts(value) for name, value in _sense_texts(number, Sense(), {}).items()}
        return replace(form, texts={**form.texts, **blank, "senses": (str(number),)})
    rows = _count(form, f"{where}_rows") + 1
    empty = _equivalent_texts(f"{where}_e{rows}", Equivalent(""), None)
    return replace(
        form, texts={**form.texts, **{k: (v,) for k, v in empty.items()}, f"{where}_rows": (str(rows),)}
    )


def parsed_from(form: Form, line: Line) -> ParsedLine:
    """Return the editor's reading of a line.

    Where a text was changed and the older reading is what is printed, that is kept as printed.

    Raises:
        BadInput: there is no headword, or a word of grammar is in none of our lists.
    """
    before = line.parsed or ParsedLine()
    headword = form.line("headword")
    if not headword:
        raise BadInput(
            _("The headword is empty."), where="headword", fix=_("Type it, or set the whole line aside.")
        )
    prints = _Prints(line, before)
    prints.keep(form, "headword", HEADWORD, headword, before.headword)
    part_of_speech, word = _listed(form, "part_of_speech", "part of speech")
    gender, of_gender = _listed(form, "gender", "gender")
    number, of_number = _listed(form, "number", "number")
    senses: list[Sense] = []
    for n in range(1, _count(form, "senses") + 1):
        old = before.senses[n - 1] if n <= len(before.senses) else Sense()
        sense = _sense(form, n, len(senses) + 1, old, prints)
        if sense != Sense():
            senses.append(sense)
    return replace(
        before,
        headword=headword,
        variants=_list(form.line("variants")),
        part_of_speech=part_of_speech,
        gender=gender,
        number=number,
        pronunciation=form.line("pronunciation"),
        style=form.line("style"),
        forms=_forms(form.line("forms")),
        see=_list(form.line("see")),
        note=_with_remarks(form.line("note"), word, of_gender, of_number),
        senses=tuple(senses),
        rest="",
        troubles=(),
        printed=prints.in_order(before),
    )


class _Prints:
    """Return the printed forms of names that the editor has changed."""

    def __init__(self, line: Line, before: ParsedLine) -> None:
        self.line, self.known = line, _shown(before)
        self.kept = [p for p in before.printed if not is_name(p.part)]

    def keep(self, form: Form, at: str, part: Path, text: str, before: str) -> None:
        """Note the printed form of a name: what was typed, else the older reading where it stands for it."""
        as_printed = form.line(f"{at}_printed") or (before if self._stands_for(before, text) else "")
        if not as_printed or as_printed == text:
            return
        told = form.line(f"{at}_printed_is")
        known = self.known.get(part)
        if told in WHYS:
            why = PrintedWhy(told)
        elif known is not None and known.text == as_printed and known.why is not PrintedWhy.BY_HAND:
            why = known.why
        else:
            why = kind_of_print(as_printed, text)
        self.kept.append(Printed(part, as_printed, why))

    def _stands_for(self, before: str, text: str) -> bool:
        """Return whether the older reading is the printed form of the name, not a wrongly split line.

        The line prints it, does not print the name itself, and the two are alike.
        """
        prints = self.line.text
        return (
            before not in ("", text)
            and before in prints
            and not is_printed_in(text, prints)
            and may_be_spelling(before, text)
        )

    def in_order(self, before: ParsedLine) -> tuple[Printed, ...]:
        """Return all of them, earlier ones first."""
        same = (p for p in before.printed if p in self.kept)
        return (*same, *(p for p in self.kept if p not in before.printed))


def _sense_texts(n: int, sense: Sense, shown: Mapping[Path, Printed]) -> dict[str, object]:
    at = f"s{n}"
    texts: dict[str, object] = {
        f"{at}_number": sense.number,
        f"{at}_style": sense.style,
        f"{at}_gloss": sense.gloss,
        f"{at}_see": "; ".join(sense.see),
        f"{at}_note": sense.note,
        f"{at}_phrases": "\n".join(_phrase_line(p) for p in sense.phrases),
        f"{at}_rows": max(len(sense.equivalents), 1),
    }
    for row, equivalent in enumerate(sense.equivalents or (Equivalent(""),), 1):
        printed = shown.get(equivalent_path(n - 1, row - 1))
        texts |= _equivalent_texts(f"{at}_e{row}", equivalent, printed)
    return texts


def _equivalent_texts(at: str, equivalent: Equivalent, printed: Printed | None) -> dict[str, str]:
    return {
        f"{at}_text": equivalent.text,
        **_printed_texts(at, printed),
        f"{at}_part_of_speech": equivalent.part_of_speech,
        f"{at}_gender": equivalent.gender,
        f"{at}_number": equivalent.number,
        f"{at}_forms": _said(equivalent.forms),
        f"{at}_variants": "; ".join(equivalent.variants),
        f"{at}_style": equivalent.style,
        f"{at}_note": equivalent.note,
    }


def _sense(
    form: Form,
    n: int,
    number: int,
    old: Sense,
    prints: _Prints,
) -> Sense:
    at = f"s{n}"
    equivalents: list[Equivalent] = []
    for row in range(1, _count(form, f"{at}_rows") + 1):
        text = form.line(f"{at}_e{row}_text")
        if not text:
            continue
        before = old.equivalents[row - 1].text if row <= len(old.equivalents) else ""
        equivalents.append(_equivalent(form, f"{at}_e{row}", text))
        part = equivalent_path(number - 1, len(equivalents) - 1)
        prints.keep(form, f"{at}_e{row}", part, text, before)
    return Sense(
        number=form.line(f"{at}_number"),
        style=form.line(f"{at}_style"),
        gloss=form.line(f"{at}_gloss"),
        equivalents=tuple(equivalents),
        see=_list(form.line(f"{at}_see")),
        note=form.line(f"{at}_note"),
        phrases=_phrases(form.text(f"{at}_phrases"), old),
    )


def _equivalent(form: Form, at: str, text: str) -> Equivalent:
    part_of_speech, word = _listed(form, f"{at}_part_of_speech", "part of speech")
    gender, of_gender = _listed(form, f"{at}_gender", "gender")
    number, of_number = _listed(form, f"{at}_number", "number")
    return Equivalent(
        text,
        gender=gender,
        number=number,
        forms=_forms(form.line(f"{at}_forms")),
        variants=_list(form.line(f"{at}_variants")),
        note=_with_remarks(form.line(f"{at}_note"), word, of_gender, of_number),
        part_of_speech=part_of_speech,
        style=form.line(f"{at}_style"),
    )


def _shown(parsed: ParsedLine) -> dict[Path, Printed]:
    return {p.part: p for p in parsed.printed if is_name(p.part)}


def _printed_texts(at: str, printed: Printed | None) -> dict[str, str]:
    return {
        f"{at}_printed": printed.text if printed else "",
        f"{at}_printed_is": printed.why if printed else "",
    }


def _listed(form: Form, name: str, slot: str) -> tuple[str, str]:
    """A word of grammar from the list of its slot, and what is written in brackets after it.

    Raises:
        BadInput: the list does not have it.
    """
    word, remark = listed_meaning(form.line(name))
    if word and word not in LISTS[slot]:
        raise BadInput(
            statement_text(outside_said(slot, word)),
            where=name,
            fix=_(
                "Choose one of: %(words)s. You can keep the book's own word in brackets after it.",
                words=", ".join(_(known) for known in CHOICES[slot.replace(" ", "_")]),
            ),
        )
    return word, remark


def _with_remarks(note: str, *remarks: str) -> str:
    return "; ".join(filter(None, (note, *(remark for remark in remarks if remark not in note.split("; ")))))


def _phrase_line(phrase: Phrase) -> str:
    equivalents = "; ".join(e.text for e in phrase.equivalents)
    return f"{phrase.text} = {equivalents}" if equivalents else phrase.text


def _phrases(text: str, old: Sense) -> tuple[Phrase, ...]:
    """Phrases, one on each line; one that was not changed keeps all that was read of it."""
    known = {_phrase_line(p): p for p in old.phrases}
    found = []
    for row in filter(None, (r.strip() for r in text.split("\n"))):
        said, _, equivalents = row.partition("=")
        new = Phrase(said.strip(), equivalents=tuple(Equivalent(e) for e in _list(equivalents)))
        found.append(known.get(row, new))
    return tuple(found)


def _list(text: str) -> tuple[str, ...]:
    return tuple(filter(None, (part.strip() for part in text.split(";"))))


def _said(forms: tuple[Inflected, ...]) -> str:
    return "; ".join(f"{f.label}: {f.text}" if f.label else f.text for f in forms)


def _forms(text: str) -> tuple[Inflected, ...]:
    found = []
    for part in _list(text):
        label, mark, form = part.partition(":")
        found.append(Inflected(label.strip(), form.strip()) if mark else Inflected("", part))
    return tuple(f for f in found if f.text)


def _count(form: Form, name: str) -> int:
    text = form.line(name)
    return min(int(text), MOST_ROWS) if re.fullmatch(r"[0-9]{1,4}", text) else 0


def _texts(value: object) -> tuple[str, ...]:
    return (str(value),)
