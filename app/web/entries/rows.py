"""The rows of the entry list as markup.

Built in Python, not in a template: a page has fifty rows of ten cells, and a template took four times as
    long.
"""

from collections.abc import Mapping, Sequence
from functools import lru_cache
from types import MappingProxyType

from flask import url_for
from markupsafe import Markup, escape

from app.web import drawing
from app.web.language import gettext as _
from app.web.language import interface_language, translated
from termbase.record.entries import Origin
from termbase.rules.clauses import RuleCode
from termbase.store.entry_lists import EntryRow, HeadWord
from termbase.store.verdicts import verdict_words

__all__ = ["table_rows", "verdicts_of"]

GUESSED = (Origin.REBUILT, Origin.COINED)


def table_rows(
    rows: Sequence[EntryRow],
    languages: Sequence[str],
    codes: Sequence[RuleCode],
    reasons: Mapping[str, str] = MappingProxyType({}),
) -> Markup:
    """Return the table rows: a column for each language, topic, slips, a column for each code, stage.

    `reasons` says, by entry id, where in its texts the search words were found.
    """
    tongue = interface_language()
    base = url_for("entries.index")
    labels = [f' data-of="{escape(code.name)}"' for code in codes]
    stages = (str(escape(_("draft"))), str(escape(_("ready"))))
    hurt_word = str(escape(_("someone was hurt")))
    lines = []
    for row, words in zip(rows, verdicts_of(rows, codes), strict=True):
        first, *others = (row.head(tag) for tag in languages)
        name = _name(first) if first else escape(f"{_('no name yet')} ({row.id})")
        hurt = f' <b class="hurt-word">{hurt_word}</b>' if row.hurt else ""
        opened = f'<a href="{base}/{row.id}">{name}</a>{_origin(first, tongue)}{hurt}'
        if row.id in reasons:
            opened += f'<span class="how">{escape(translated(reasons[row.id]))}</span>'
        heads = "".join(f"<td>{_cell(head, tongue)}</td>" for head in others)
        topic = _word(tongue, row.topic.value) if row.topic else "–"
        verdicts = "".join(
            f"<td{label}>{_verdict(tongue, word, ruled)}</td>"
            for label, (word, ruled) in zip(labels, words, strict=True)
        )
        lines.append(
            f'<tr><th scope="row">{opened}</th>{heads}<td>{topic}</td>'
            f'<td class="number">{row.slips or "–"}</td>'
            f"{verdicts}<td>{stages[row.ready]}</td></tr>\n"
        )
    return Markup("".join(lines))  # every text in it has been escaped above


def verdicts_of(rows: Sequence[EntryRow], codes: Sequence[RuleCode]) -> list[list[tuple[str, bool]]]:
    """Return, for each row, the verdict under each code (empty: no technique) and whether it is a ruling."""
    described = [row for row in rows if row.technique]
    asked = [(row.technique, row.names) for row in described]
    result = {
        code.id: dict(zip((row.id for row in described), verdict_words(code, asked), strict=True))
        for code in codes
    }
    return [
        [
            (row.rulings[code.id], True)
            if code.id in row.rulings
            else (result[code.id].get(row.id, ""), False)
            for code in codes
        ]
        for row in rows
    ]


def _cell(head: HeadWord | None, tongue: str) -> str:
    if head is None:
        return f'<span class="none">{escape(_("no name yet"))}</span>'
    return f"{_name(head)}{_origin(head, tongue)}"


def _name(head: HeadWord) -> str:
    guessed = " guessed-name" if head.origin in GUESSED else ""
    return f'<bdi class="words{guessed}" lang="{_tag(head.language)}">{escape(head.text)}</bdi>'


@lru_cache(maxsize=1000)
def _tag(language: str) -> str:
    return str(escape(language))


def _origin(head: HeadWord | None, tongue: str) -> str:
    return f" {_marked(tongue, head.origin.value, 'origin', head.origin.alone)}" if head else ""


def _verdict(tongue: str, word: str, ruled: bool) -> str:
    if not word:
        return "–"
    return _marked(tongue, word, "in-list") + (
        f' <i class="ruled">{escape(_("ruling"))}</i>' if ruled else ""
    )


@lru_cache(maxsize=1000)
def _word(_tongue: str, word: str) -> str:
    return str(escape(_(word)))


@lru_cache(maxsize=1000)
def _marked(_tongue: str, word: str, more: str, told: str = "") -> str:
    """Return a word with its mark, like the macro `marked`."""
    return f'<span class="marked {more}">{drawing.mark(word)}<span>{escape(_(told or word))}</span></span>'
