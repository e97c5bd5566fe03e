"""What Proof finds, kept until the record changes, so that no page waits for what is known already.

A small termbase is checked while the page is made; a large one by a job, whose findings are kept here.
"""

from collections.abc import Callable
from dataclasses import dataclass

from flask import Flask, current_app

from app.web import context
from termbase.articles import Library
from termbase.entries import Entry
from termbase.proofing import Finding, proof
from termbase.store import Reader
from termbase.store.listing import EntryFilter, count_entries

__all__ = ["LARGE", "Checked", "check", "init_app", "keep", "known"]

LARGE = 400
"""Entries from which a check is a job of its own: about a second on an old laptop."""


@dataclass(frozen=True)
class Checked:
    """The findings of one check: after which act of the history, how many entries there were.

    `ready` counts the entries of which both readings are signed; `touched` those with a finding.
    """

    act_id: int
    entries: int
    ready: int
    findings: tuple[Finding, ...]

    @property
    def touched(self) -> int:
        """How many entries have at least one finding."""
        return len({f.record_id for f in self.findings if f.kind == "entry"})


class _Kept:
    """The newest check of one web face."""

    def __init__(self) -> None:
        self.newest: Checked | None = None


def init_app(app: Flask) -> None:
    """Give the app a place for what was found."""
    app.extensions["wordhold_findings"] = _Kept()


def known() -> tuple[Checked | None, bool]:
    """The newest check, and whether the record is still as it was then; made now if that is quick."""
    reader = context.reader()
    kept = _kept()
    newest = kept.newest
    fresh = newest is not None and newest.act_id == _last_act(reader)
    if not fresh and reader.count(Entry) < LARGE:
        newest = kept.newest = check(reader)
        fresh = True
    return newest, fresh


def keep(checked: Checked, app: Flask) -> None:
    """Keep a check that a job made."""
    app.extensions["wordhold_findings"].newest = checked


def check(reader: Reader, on_progress: Callable[[int, int], None] | None = None) -> Checked:
    """Run every check over the record as this reader sees it."""
    library = Library(reader)
    return Checked(
        _last_act(reader),
        reader.count(Entry),
        count_entries(reader, EntryFilter(stage="ready")),
        proof(library, on_progress),
    )


def _last_act(reader: Reader) -> int:
    newest = reader.last_acts(1)
    return newest[0].id if newest else 0


def _kept() -> _Kept:
    found: _Kept = current_app.extensions["wordhold_findings"]
    return found
