"""Proof before print: what is missing or contradictory in a selection about to be published.

The checks of the record (`termbase.proofing.checks`) run on the chosen entries, languages and rule codes
only, together with checks for problems that only appear in print. Nothing here prevents printing: drafts
are printed and marked as drafts.
"""

from collections.abc import Callable, Iterable, Iterator, Sequence
from copy import copy
from dataclasses import replace
from pathlib import Path
from typing import Final

import msgspec

from exports.glossary.book.book import Selection
from exports.glossary.book.coverage import PRINT_FONTS, MissingCharacter, font_files, missing_in
from termbase.messages import message
from termbase.overviews.articles import Library
from termbase.proofing.checks import CHECKS, Finding, proof
from termbase.record.entries import Entry, heads
from termbase.record.foreign_notes import only_accepted
from termbase.record.sources import Slip

__all__ = ["TITLES", "proof_before_print"]

_ON_PAPER: Final = {
    "nothing-chosen": message("nothing to print"),
    "choice-unknown": message("choices that are not in the termbase"),
    "statement-gaps": message("missing information about the termbase"),
    "unnamed-in-print": message("entries without a name in the languages printed"),
    "pointer-lost": message("references to what is not printed"),
    "no-face": message("characters missing from every font"),
}
TITLES: Final = _ON_PAPER | {check.code: check.title for check in CHECKS}
"""What each check looks for, by its code."""

_NOT_PRINTED: Final = frozenset({"unsorted-slip", "lines-left"})
"""Checks for work that does not go into a book."""


def proof_before_print(
    library: Library,
    selection: Selection = Selection(),  # noqa: B008 - frozen
    on_progress: Callable[[int, int], None] | None = None,
    font_folders: Sequence[Path] = (),
) -> tuple[Finding, ...]:
    """Return what to fix before this selection is published: problems of the printed book first, then those
    of the record.

    Args:
        library: the record.
        selection: what will be published.
        on_progress: called from time to time with the number of entries checked and the total.
        font_folders: folders with additional fonts to be used in print.
    """
    in_order = _chosen(library, selection)
    chosen = frozenset(in_order)
    narrowed = _narrowed(library, selection)
    fonts = font_files((PRINT_FONTS, *font_folders))
    of_paper = (
        *_about_selection(library, selection, chosen),
        *_about_works(library, fonts),
        *_about_entries(narrowed, selection, in_order, fonts),
    )
    of_record = (
        finding
        for finding in proof(narrowed, on_progress, in_order)
        if finding.check not in _NOT_PRINTED
        and (finding.kind != "entry" or finding.record_id in chosen)
        # a name in a language that is not printed is not a problem here
        and not (finding.check == "tag-fault" and finding.kind == "entry" and selection.vernaculars)
    )
    return (*of_paper, *of_record)


def _chosen(library: Library, selection: Selection) -> tuple[str, ...]:
    entries = (entry for batch in library.reader.entries() for entry in batch)
    return tuple(entry.id for entry in entries if selection.includes(entry))


def _narrowed(library: Library, selection: Selection) -> Library:
    """Return the record as if it had only the chosen codes and vernaculars."""
    narrowed = copy(library)
    if selection.codes is not None:
        narrowed.codes = tuple(code for code in library.codes if code.id in selection.codes)
    if selection.vernaculars is not None:
        narrowed.termbase = replace(library.termbase, vernaculars=selection.vernaculars)
    return narrowed


def _about_selection(library: Library, selection: Selection, chosen: frozenset[str]) -> Iterator[Finding]:
    termbase = library.termbase
    if not chosen:
        fix = message("Add an entry.")
        if not selection.drafts:
            fix = message("Sign both readings of an entry, or include drafts.")
        if selection.only is not None:
            fix = message("Use fewer filters.")
        yield _about_termbase(library, "nothing-chosen", message("No entries would be printed."), fix)
    known = {code.id for code in library.codes}
    for code in selection.codes or ():
        if code not in known:
            yield _about_termbase(
                library,
                "choice-unknown",
                message("There is no rule code “%(id)s”.", id=code),
                message("Choose an existing one."),
            )
    for tag in selection.vernaculars or ():
        if tag not in termbase.vernaculars:
            yield _about_termbase(
                library,
                "choice-unknown",
                message("“%(tag)s” is not a vernacular of this termbase.", tag=tag),
                message("Choose one of its vernaculars."),
            )
    if not termbase.licence:
        what = message("It has no licence, so readers cannot tell how they may use it.")
        yield _about_termbase(library, "statement-gaps", what, message("Add its licence."))
    if not termbase.rights:
        what = message("It has no rights statement, so readers cannot tell how they may use it.")
        yield _about_termbase(library, "statement-gaps", what, message("Add its rights statement."))


def _about_works(library: Library, fonts: Sequence[Path]) -> Iterator[Finding]:
    """Yield characters of the title page and the bibliography that no font has."""
    encode = msgspec.json.encode
    termbase = library.termbase
    for check, what, fix in _without_font(missing_in([(termbase.id, "", encode(termbase))], fonts)):
        yield _about_termbase(library, check, what, fix)
    for source in library.sources.values():
        printed = encode(replace(source, note="", rights="", pattern="", styles=()))
        for check, what, fix in _without_font(missing_in([(source.id, "", printed)], fonts)):
            yield Finding(check, "source", source.id, source.label, what, fix)


def _about_termbase(library: Library, check: str, what: str, fix: str) -> Finding:
    return Finding(check, "termbase", library.termbase.id, library.termbase.title, what, fix)


def _about_entries(
    library: Library, selection: Selection, in_order: Sequence[str], fonts: Sequence[Path]
) -> Iterator[Finding]:
    findings_of: dict[str, list[Finding]] = {code: [] for code in _ON_PAPER}
    chosen = frozenset(in_order)
    for mine in library.reader.entries(in_order):
        slips = library.reader.slips_of(mine) if selection.quotations else {}
        for entry in mine:
            name = _name(entry, library)
            for check, what, fix in (
                *_unnamed(entry, library),
                *_lost(entry, chosen),
                *_without_font(missing_in([(entry.id, name, _printed(entry, slips))], fonts)),
            ):  # fmt: skip
                findings_of[check].append(Finding(check, "entry", entry.id, name, what, fix))
    for findings in findings_of.values():
        yield from findings


def _without_font(missing: Iterable[MissingCharacter]) -> Iterator[tuple[str, str, str]]:
    fix = message("Correct it, give a folder with a font that has it, or print it as a code point.")
    for each in missing:
        what = message("No font has %(character)s.", character=each.called)
        yield "no-face", what, fix


def _name(entry: Entry, library: Library) -> str:
    mine = heads(entry)
    return " · ".join(mine[tag].text for tag in library.termbase.languages if tag in mine) or entry.id


def _unnamed(entry: Entry, library: Library) -> Iterator[tuple[str, str, str]]:
    if not set(library.termbase.languages).intersection(heads(entry)):
        what = message("It has no name in any printed language and would appear as [%(id)s].", id=entry.id)
        yield "unnamed-in-print", what, message("Add a name, or print a language it has a name in.")


def _lost(entry: Entry, chosen: frozenset[str]) -> Iterator[tuple[str, str, str]]:
    for relation in entry.relations:
        if relation.target_id not in chosen:
            target = relation.target_id
            what = message(
                "It refers to %(id)s (%(kind)s), which is not printed.",
                id=target,
                kind=message(relation.kind.value),
            )
            fix = message("Sign %(id)s, or include drafts; otherwise it is printed as plain text.", id=target)
            yield "pointer-lost", what, fix


def _printed(entry: Entry, slips: dict[str, tuple[Slip, ...]]) -> bytes:
    """Return the printed texts of an entry and its slips, to check their characters."""
    terms = tuple(replace(t, foreign_notes=only_accepted(t.foreign_notes)) for t in entry.terms)
    notes = only_accepted(entry.foreign_notes)
    shown = replace(entry, terms=terms, foreign_notes=notes, editor_note="", created_by="", changed_by="")
    texts = [(slip.text, slip.page) for term in entry.terms for slip in slips.get(term.id, ())]
    return msgspec.json.encode((shown, texts))
