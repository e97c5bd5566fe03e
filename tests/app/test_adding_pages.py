"""Adding a page: which pattern is offered for a text, and which languages its names are in."""

from dataclasses import replace

import pytest
from flask.testing import FlaskClient
from lxml.html import HtmlElement, fromstring

from termbase.record.people import Termbase
from termbase.record.sources import Source
from termbase.store.engine import Store
from termbase.wordlists.pattern_files import read_pattern

COLUMNS = """Belt, s.        gwregys, m.
Back-heel, s.   bachiad sawdl, m.
Bout, s.        gornest, f.
"""
SIDE_BY_SIDE = """belt, s. gwregys, m.     hip, s. clun, f.
heel, s. sawdl, m.       hook, s. bach, m.
bout, s. gornest, f.     kick, s. cic, f.
"""


def offered(client: FlaskClient, text: str) -> HtmlElement:
    return fromstring(client.post("/pages/new", data={"text": text, "do": "suggest"}).get_data(as_text=True))


def told(page: HtmlElement, name: str) -> str:
    (stock,) = page.xpath(f'//div[@class="stock"][.//input[@value="{name}"]]')
    return " ".join(stock.text_content().split())


def chosen(page: HtmlElement) -> list[str]:
    return [str(value) for value in page.xpath('//input[@name="stock"][@checked]/@value')]


def test_a_list_in_two_columns_is_not_offered_as_paragraphs(client: FlaskClient) -> None:
    page = offered(client, COLUMNS)
    (first,) = chosen(page)
    assert first in ("hanging list", "pocket list", "two columns")
    assert "3 of 3 records look like entries" in told(page, first)
    assert "0 of 1 record looks like an entry" in told(page, "paragraphs")


def test_each_pattern_shows_three_records_as_it_reads_them(client: FlaskClient) -> None:
    page = offered(client, COLUMNS)
    samples = page.xpath('//div[@class="stock"][.//input[@value="two columns"]]//li')
    said = [" ".join(li.text_content().split()) for li in samples]
    assert said == ["Belt = gwregys", "Back-heel = bachiad sawdl", "Bout = gornest"]
    assert page.xpath('//li//bdi[@lang="cy"]')
    assert "does not look like an entry" in told(page, "paragraphs")
    assert "does not look like an entry: There should be" in told(page, "bare pairs")


def test_no_pattern_is_chosen_if_none_finds_an_entry(client: FlaskClient) -> None:
    page = offered(client, SIDE_BY_SIDE)
    assert chosen(page) == []
    assert "No pattern finds an entry in this text." in page.text_content()


@pytest.fixture
def two_vernaculars(store: Store) -> Store:
    with store.act("Gwen", "added a vernacular") as act:
        act.put(replace(act.get(Termbase, "termbase"), vernaculars=("cy", "ga")))
    return store


NEW = {"text": COLUMNS, "label": "A List", "number": "1", "stock": "two columns"}


def test_with_several_vernaculars_the_form_asks_which(client: FlaskClient, two_vernaculars: Store) -> None:
    answer = client.post("/pages/new", data=NEW)
    page = fromstring(answer.get_data(as_text=True))
    (error,) = page.xpath('//*[@id="equivalent_language-error"]')
    assert answer.status_code == 400
    assert "The language of the equivalents is not set." in error.text_content()
    options = page.xpath('//select[@name="equivalent_language"]/option/@value')
    assert options == ["", "en", "cy", "ga"]

    assert client.post("/pages/new", data={**NEW, "equivalent_language": "ga"}).status_code == 303
    with two_vernaculars.read() as reader:
        pattern = read_pattern(reader.get(Source, "s1").pattern, "pattern")
    assert (pattern.headword_language, pattern.equivalent_language) == ("en", "ga")


def test_the_pattern_editor_refuses_to_leave_the_vernacular_open(
    client: FlaskClient, two_vernaculars: Store
) -> None:
    client.post("/pages/new", data={**NEW, "equivalent_language": "ga"})
    page = fromstring(client.get("/pages/pattern/s1").get_data(as_text=True))
    fields = {
        str(field.name): field.value or ""
        for field in page.xpath("//form[@data-pattern]//*[self::input or self::textarea or self::select]")
        if field.name and (field.get("type") != "checkbox" or field.get("checked"))
    }
    assert fields["equivalent_language"] == "ga"
    answer = client.post("/pages/pattern/s1", data={**fields, "equivalent_language": "", "do": "save"})
    assert answer.status_code == 400
    assert "Choose one: cy, ga." in answer.get_data(as_text=True)


def test_another_stock_pattern_keeps_the_languages_of_the_list(
    client: FlaskClient, two_vernaculars: Store
) -> None:
    client.post("/pages/new", data={**NEW, "equivalent_language": "ga"})
    page = fromstring(client.get("/pages/pattern/s1?stock=pocket+list").get_data(as_text=True))
    assert page.xpath('//input[@name="equivalent_language"]/@value') == ["ga"]
    assert "gweler" not in page.xpath('string(//textarea[@name="marks_see"])')
    assert "féach" in page.xpath('string(//textarea[@name="marks_see"])')
