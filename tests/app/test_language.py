"""The interface in English, Welsh and Irish: complete, well formed, and chosen by the reader."""

import gettext as gettext_rules
import re
from collections.abc import Iterator

import pytest
from babel import Locale
from babel.lists import format_list
from babel.messages import Catalog, Message
from flask.testing import FlaskClient

from app.web.language import (
    clause_words,
    date_words,
    gettext,
    listed,
    profile_words,
    speaking,
    verdict_wording,
)
from app.web.progress import Finished, start
from app.web.translations import LANGUAGES
from app.web.translations.extracting import catalogue, messages, untranslated
from termbase.dates import edtf as dates
from termbase.languages import tags
from termbase.rules.clauses import FallRule, GripRule
from termbase.technique.profile import Hand, Profile, Stated

TRANSLATED = tuple(tag for tag in LANGUAGES if tag != "en")
CATEGORIES = {
    "cy": ("zero", "one", "two", "few", "many", "other"),
    "ga": ("one", "two", "few", "many", "other"),
}


@pytest.fixture(scope="module")
def wanted() -> Catalog:
    return messages()


def _texts(message: Message) -> Iterator[str]:
    yield from message.string if isinstance(message.string, (tuple, list)) else (message.string,)


def _key(message: Message) -> str:
    return message.id if isinstance(message.id, str) else message.id[0]


def _placeholders(text: str) -> set[str]:
    return set(re.findall(r"%\(\w+\)s|\{\w+\}", text))


@pytest.mark.parametrize("tag", TRANSLATED)
def test_every_message_of_the_interface_is_translated_and_none_is_obsolete_or_fuzzy(
    tag: str, wanted: Catalog
) -> None:
    kept = catalogue(tag)

    stored, wanted_ids = ({_key(m) for m in found if m.id} for found in (kept, wanted))
    assert [_key(m) for m in untranslated(kept)] == []
    assert [_key(m) for m in kept if m.fuzzy and m.id] == []
    assert sorted(wanted_ids - stored) == [], "run: python -m app.web.translations"
    assert sorted(stored - wanted_ids) == [], "run: python -m app.web.translations"


@pytest.mark.parametrize("tag", TRANSLATED)
def test_translations_keep_the_placeholders(tag: str) -> None:
    wrong = [
        (_key(message), text)
        for message in catalogue(tag)
        if message.id
        for text in _texts(message)
        if _placeholders(text) not in [_placeholders(one) for one in _ids(message)]
    ]

    assert wrong == []


def _ends(text: str) -> tuple[bool, bool]:
    return text[:1].isspace(), text[-1:].isspace()


def _ids(message: Message) -> tuple[str, ...]:
    return (message.id,) if isinstance(message.id, str) else tuple(message.id)


@pytest.mark.parametrize("tag", TRANSLATED)
def test_translations_keep_the_spaces_at_either_end(tag: str) -> None:
    wrong = [
        _key(message)
        for message in catalogue(tag)
        if message.id and any(_ends(text) != _ends(_key(message)) for text in _texts(message))
    ]

    assert wrong == []


@pytest.mark.parametrize("tag", TRANSLATED)
def test_plural_forms_are_those_of_cldr(tag: str) -> None:
    kept = catalogue(tag)
    form_of = gettext_rules.c2py(kept.plural_expr)

    assert kept.num_plurals == len(CATEGORIES[tag])
    for number in range(201):
        category = tags.plural_category(number, tag)
        assert form_of(number) == CATEGORIES[tag].index(category), number


@pytest.mark.parametrize(
    ("tag", "number", "text"),
    [
        ("cy", 0, "0 cofnod"), ("cy", 1, "1 cofnod"), ("cy", 2, "2 gofnod"), ("cy", 3, "3 chofnod"),
        ("cy", 4, "4 cofnod"), ("cy", 6, "6 chofnod"), ("ga", 1, "1 duillín"), ("ga", 2, "2 dhuillín"),
        ("ga", 6, "6 dhuillín"), ("ga", 7, "7 nduillín"), ("ga", 11, "11 duillín"),
    ],
)  # fmt: skip
def test_numbers_mutate_the_following_noun(tag: str, number: int, text: str) -> None:
    """Mutation after numerals: in Welsh soft after dau, aspirate after tri and chwe; in Irish lenition from
    dhá to sé, eclipsis from seacht to deich (common practice, no source)."""
    from_entries = {"cy": ("%(n)s entry", "%(n)s entries"), "ga": ("%(num)s slip", "%(num)s slips")}[tag]
    kept = catalogue(tag)
    forms = next(m for m in kept if m.id == from_entries).string
    place = CATEGORIES[tag].index(tags.plural_category(number, tag))

    assert forms[place].replace("%(n)s", "%(num)s") % {"num": number} == text


@pytest.mark.parametrize(
    ("asked", "tag", "word"),
    [
        ("cy", "cy", "Cofnodion"), ("cy-GB,en;q=0.5", "cy", "Cofnodion"),
            ("cy;q=0,ga", "ga", "Iontrálacha"), ("ga-IE", "ga", "Iontrálacha"),
        ("de, ga;q=0.3", "ga", "Iontrálacha"), ("en-GB", "en", "Entries"), ("de", "en", "Entries"),
        ("", "en", "Entries"), ("!!;q=x", "en", "Entries"),
    ],
)  # fmt: skip
def test_the_browser_chooses_the_language(client: FlaskClient, asked: str, tag: str, word: str) -> None:
    answer = client.get("/", headers={"Accept-Language": asked})

    assert f'<html lang="{tag}">' in answer.text
    assert f">{word}</a>" in answer.text
    assert answer.headers["Content-Language"] == tag
    assert {"Accept-Language", "Cookie"} <= set(answer.vary)


def test_the_choice_in_the_header_prevails_and_leads_back(client: FlaskClient) -> None:
    asked = {"Accept-Language": "cy"}
    answer = client.post("/language", data={"language": "ga", "back": "/sources?find=x"}, headers=asked)

    assert (answer.status_code, answer.location) == (303, "/sources?find=x")
    assert '<html lang="ga">' in client.get("/", headers=asked).text


def test_an_unknown_language_clears_the_choice(client: FlaskClient) -> None:
    client.post("/language", data={"language": "ga", "back": "/"})
    client.post("/language", data={"language": "xx", "back": "//elsewhere.example/"})

    assert '<html lang="en">' in client.get("/").text


def test_the_page_declares_its_language(client: FlaskClient) -> None:
    page = client.get("/", headers={"Accept-Language": "cy"}).text

    assert 'value="cy" lang="cy" aria-pressed="true">Cymraeg</button>' in page
    assert 'value="ga" lang="ga" aria-pressed="false">Gaeilge</button>' in page


@pytest.mark.parametrize("path", ["/", "/entries", "/pages", "/sources", "/rules", "/trials", "/cautions"])
@pytest.mark.parametrize("tag", TRANSLATED)
def test_sections_are_translated(client: FlaskClient, path: str, tag: str) -> None:
    page = client.get(path, headers={"Accept-Language": tag}).text
    never = {"cy": "Nid yw bod o fewn y rheolau yn golygu bod yn ddiogel.",
             "ga": "Ní hionann laistigh de na rialacha agus sábháilte."}[tag]  # fmt: skip

    assert never in page
    assert "Within the rules does not mean safe." not in page


def test_errors_are_translated(client: FlaskClient) -> None:
    page = client.get("/nowhere", headers={"Accept-Language": "cy"}).text

    assert "Nid oes tudalen o&#39;r fath." in page


@pytest.mark.parametrize(
    ("edtf", "welsh", "irish"),
    [
        ("1898", "1898", "1898"),
        ("1898-06-24", "24 Mehefin 1898", "24 Meitheamh 1898"),
        ("1898-06", "Mehefin 1898", "Meitheamh 1898"),
        ("1898~", "1898 yn fras", "timpeall 1898"),
        ("1898?", "efallai 1898", "b'fhéidir 1898"),
        ("1866/1909", "1866 – 1909", "1866 go 1909"),
        ("1898/..", "1898 neu'n ddiweddarach", "1898 nó níos déanaí"),
        ("1898-21", "gwanwyn 1898", "earrach 1898"),
        ("1898-XX", "rhyw fis (1898)", "mí éigin (1898)"),
        ("[1890..1899]", "yn y cyfnod 1890 – 1899", "idir 1890 agus 1899"),
        ("-0009", "10 CC", "10 RC"),
    ],
)
def test_dates_are_translated(edtf: str, welsh: str, irish: str) -> None:
    words = []
    for tag in TRANSLATED:
        with speaking(tag):
            words.append(dates.readable(dates.parse(edtf), date_words()))

    assert words == [welsh, irish]


@pytest.mark.parametrize("tag", TRANSLATED)
def test_months_are_those_of_cldr(tag: str) -> None:
    with speaking(tag):
        months = date_words().months

    assert months == tuple(Locale(tag).months["stand-alone"]["wide"].values())


@pytest.mark.parametrize(("tag", "text"), [("en", "a, b, and c"), ("cy", "a, b, c"), ("ga", "a, b agus c")])
def test_lists_are_joined_as_cldr_joins_them_and_in_welsh_by_commas(tag: str, text: str) -> None:
    """Source: Unicode CLDR, listPattern, through Babel."""
    with speaking(tag):
        assert listed(["a", "b", "c"]) == text
    assert tag == "cy" or format_list(["a", "b", "c"], locale=tag) == text


def test_work_in_a_thread_uses_the_language_of_its_request(client: FlaskClient) -> None:
    with client.application.test_request_context("/", headers={"Accept-Language": "ga"}):
        job = start("x", lambda job: Finished(gettext("Nothing yet.")), "/")
        assert job.wait(5)

    assert job.result is not None
    assert job.result.words == "Dada fós."


@pytest.mark.parametrize(
    ("tag", "text"),
    [
        ("cy", "Cwymp yw'r rhain ar y llawr: ysgwydd, clun."),
        ("ga", "Is ionann titim agus iad seo ar an talamh: gualainn agus cromán."),
    ],
)
def test_a_clause_does_not_contain_input_hints(tag: str, text: str) -> None:
    with speaking(tag):
        assert text in clause_words(FallRule(id="1", parts=("shoulder", "hip")))


@pytest.mark.parametrize("tag", TRANSLATED)
def test_verdicts_techniques_and_clauses_are_translated(tag: str) -> None:
    hold = Hand(places=Stated(("collar",), "reading", ""))
    clause = GripRule(id="1", allowed=("collar", "sleeve"), rest="barred")

    with speaking(tag):
        texts = (
            profile_words(Profile(right=hold)),
            clause_words(clause),
            verdict_wording().templates["open"],
        )

    assert (
        texts
        == {
            "cy": (
                "Llaw dde: ar y goler.",
                "Caniateir gafaelion: ar y goler / ar y llawes; gwaherddir pob gafael arall.",
                "Agored: ni ellir penderfynu hyn eto.",
            ),
            "ga": (
                "Lámh dheas: ar an gcoiléar.",
                "Greamanna ceadaithe: ar an gcoiléar nó ar an muinchille; tá gach greim eile coiscthe.",
                "Oscailte: ní féidir a rá fós.",
            ),
        }[tag]
    )


# Letters that no word of the language has, but one that stands in the English text too (common practice, no
# source): a message filed in the catalogue of the other language shows by them.
STRANGE_LETTERS = {"cy": re.compile("[kqvxzéíó]"), "ga": re.compile("[kqwxyz]")}
OF_THE_OTHER = {"cy": {"séimhiú"}, "ga": set[str]()}
"""An Irish word for a mutation of Irish, which Welsh has no word for."""


@pytest.mark.parametrize("tag", ["cy", "ga"])
def test_no_message_is_in_another_language_than_its_catalogue(tag: str) -> None:
    def words(text: object) -> set[str]:
        words = " ".join(text) if isinstance(text, tuple) else str(text)
        return set(re.findall(r"[^\W\d_]+", re.sub(r"%\(\w+\)\w|\{\w+\}|<[^>]*>", "", words).casefold()))

    strange = {
        message.id: found
        for message in catalogue(tag)
        if message.id
        and (found := {w for w in words(message.string) - words(message.id) if STRANGE_LETTERS[tag].search(w)}
             - OF_THE_OTHER[tag])
    }  # fmt: skip
    assert strange == {}
