"""The entry list: its rows as markup, and its state as stated in the address.

Rows are built in Python, not in a template: a page has fifty rows of ten cells, and a template took four
times as long.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, fields, replace
from functools import lru_cache
from types import MappingProxyType
from urllib.parse import urlencode

from flask import url_for
from markupsafe import Markup, escape

from app.web import drawing
from app.web.language import gettext as _
from app.web.language import interface_language, translated
from termbase.judging.verdict import VERDICT_WORDS
from termbase.record.entries import Origin, Topic
from termbase.rules.clauses import RuleCode
from termbase.store.entry_lists import STAGES, EntryRow, HeadWord
from termbase.store.verdicts import verdict_words

__all__ = ["ORDERS", "ListState", "state_of", "table_rows", "verdicts_of"]


GUESSED = (Origin.REBUILT, Origin.COINED)


ORDERS = ("", "down")
LONGEST = 200
MOST_PAGES = 100_000
_CLOSED = {
    "topic": tuple(t.value for t in Topic),
    "origin": tuple(o.value for o in Origin),
    "stage": STAGES,
    "verdict": VERDICT_WORDS,
    "order": ORDERS,
}


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
    techniques = [(row.technique, row.names) for row in described]
    result = {
        code.id: dict(zip((row.id for row in described), verdict_words(code, techniques), strict=True))
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
def _marked(_tongue: str, word: str, more: str, label: str = "") -> str:
    """Return a word with its mark, like the macro `marked`."""
    return f'<span class="marked {more}">{drawing.mark(word)}<span>{escape(_(label or word))}</span></span>'


@dataclass(frozen=True)
class ListState:
    """The state of the list; empty fields do not filter.

    Attributes:
        lang: the language whose alphabet orders the list.
        q: the typed search text.
        since, until: EDTF dates between which a name is quoted.
        section: first letter of the heads.
        order: empty for the alphabet, `down` for its reverse.
        page: from 1.
    """

    lang: str
    q: str = ""
    topic: str = ""
    origin: str = ""
    stage: str = ""
    source: str = ""
    code: str = ""
    verdict: str = ""
    since: str = ""
    until: str = ""
    section: str = ""
    order: str = ""
    page: int = 1

    @property
    def conditions(self) -> bool:
        """Whether a filter other than the search text and the letter is set."""
        filters = (self.topic, self.origin, self.stage, self.source, self.code, self.verdict)
        return any((*filters, self.since, self.until))

    @property
    def narrowed(self) -> bool:
        """Whether the list is filtered."""
        filters = (self.q, self.topic, self.origin, self.stage, self.source, self.verdict, self.section)
        return any((*filters, self.since, self.until))

    def arguments(self, usual: str) -> dict[str, str]:
        """Return the arguments of its address without defaults (`usual` is the default language)."""
        values = {f.name: str(getattr(self, f.name)) for f in fields(self)}
        return {
            name: value
            for name, value in values.items()
            if value and not (name == "page" and value == "1") and not (name == "lang" and value == usual)
        }

    def address(self, usual: str, endpoint: str = "entries.index", **changes: str | int) -> str:
        """Return the address of this state with some changes; changing anything but the page leads to page
        1."""
        changed = changes if "page" in changes else {**changes, "page": 1}
        query = urlencode(replace(self, **changed).arguments(usual))  # type: ignore[arg-type]
        return f"{url_for(endpoint)}?{query}" if query else url_for(endpoint)


def state_of(arguments: Mapping[str, str], languages: tuple[str, ...]) -> ListState:
    """Return the state for an address; unknown values are ignored."""
    given = {
        name: arguments.get(name, "").strip()[:LONGEST] for name in ("topic", "origin", "stage", "verdict")
    }
    checked = {name: value if value in _CLOSED[name] else "" for name, value in given.items()}
    page = arguments.get("page", "1")
    lang = arguments.get("lang", "")
    return ListState(
        lang=lang if lang in languages else languages[0],
        q=(arguments.get("q") or arguments.get("find") or "").strip()[:LONGEST],
        source=arguments.get("source", "")[:LONGEST],
        code=arguments.get("code", "")[:LONGEST],
        since=arguments.get("since", "").strip()[:LONGEST],
        until=arguments.get("until", "").strip()[:LONGEST],
        section=arguments.get("section", "")[:LONGEST],
        order="down" if arguments.get("order") == "down" else "",
        page=min(max(int(page), 1), MOST_PAGES) if page.isascii() and page.isdigit() and len(page) < 9 else 1,
        **checked,
    )
