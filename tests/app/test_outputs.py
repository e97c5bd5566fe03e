"""Commands and web pages match the table of outputs: options, forms, files, reports."""

import re
import shutil
from pathlib import Path

import click
import pytest
from click.testing import CliRunner
from flask.testing import FlaskClient

from app.cli import main
from app.reports import document, printed, report_message
from app.selection import Order, selection_of
from app.web.progress import jobs
from app.web.publish.asking import first_values, options_of
from app.web.publish.pages import FORMS, GLOSSARY
from exports.options import Flag, OneOf, Option, SomeOf
from exports.outputs import OUTPUTS, SELECTION, Output
from termbase.errors import BadInput
from termbase.overviews.articles import Library
from termbase.record.sources import Source
from termbase.store.engine import Store

WITH_COMMAND = [name for name, output in OUTPUTS.items() if output.group]
KINDS = [(name, kind) for name, output in OUTPUTS.items() for kind in output.kinds]
OF_EVERY_COMMAND = {"-o", "--output", "--json", "--db"}
FORMS_OF_PAGES = {
    "/publish": (GLOSSARY, *(these for address, these in FORMS.items() if not address.startswith("files/"))),
    "/publish/files": tuple(these for address, these in FORMS.items() if address.startswith("files/")),
}
CHOSEN_ON_THE_PAGE = [
    (these, option)
    for forms in FORMS_OF_PAGES.values()
    for these in forms
    for option in options_of(these)
    if isinstance(option, OneOf | SomeOf) or (isinstance(option, Flag) and option.ways)
]


def command_of(output: Output) -> click.Command:
    group = main.get_command(click.Context(main), output.group)
    assert isinstance(group, click.Group)
    command = group.get_command(click.Context(group), output.name)
    assert command is not None
    return command


def run(*words: str, db: Path) -> tuple[int, str]:
    ran = CliRunner(env={"WORDHOLD_DB": str(db)}).invoke(main, words)
    assert ran.exception is None or isinstance(ran.exception, SystemExit)
    return ran.exit_code, ran.stderr


@pytest.fixture
def db(demo_file: Path, tmp_path: Path) -> Path:
    place = tmp_path / "demo.sqlite"
    shutil.copyfile(demo_file, place)
    return place


@pytest.mark.parametrize("name", WITH_COMMAND)
def test_a_command_has_the_options_of_its_row_and_no_other(name: str) -> None:
    output = OUTPUTS[name]
    parameters = command_of(output).params

    words = {word for each in parameters for word in each.opts}
    assert words - OF_EVERY_COMMAND == {option.word for option in output.options if option.word}
    assert words >= OF_EVERY_COMMAND
    for option in output.options:
        parameter = next((each for each in parameters if option.word in each.opts), None)
        if isinstance(parameter, click.Option) and isinstance(parameter.type, click.Choice):
            assert isinstance(option, OneOf | SomeOf)
            if option.choices:
                assert list(parameter.type.choices) == [each.value for each in option.choices]


@pytest.mark.parametrize("name", WITH_COMMAND)
def test_a_command_has_the_help_of_its_row(name: str) -> None:
    output = OUTPUTS[name]
    help_ = command_of(output).help or ""

    assert help_.startswith(output.summary)
    assert f"Example: wordhold {output.group} {name} {output.example}" in help_


@pytest.mark.parametrize(
    ("name", "option"),
    [(n, o) for n in WITH_COMMAND for o in OUTPUTS[n].options if o.word and isinstance(o, OneOf | SomeOf)],
    ids=lambda each: each if isinstance(each, str) else each.word,
)
def test_an_invalid_value_ends_a_command_with_status_2(
    name: str, option: Option, db: Path, tmp_path: Path
) -> None:
    output = OUTPUTS[name]
    path = tmp_path / f"file{output.suffix or '.json'}"

    status, output_text = run(output.group, name, "-o", str(path), option.word, "no such", db=db)

    assert status == 2
    assert "no such" in output_text
    assert not path.exists()


@pytest.mark.parametrize("group", ["export", "publish"])
def test_an_unknown_output_ends_a_command_with_status_2(group: str, db: Path) -> None:
    status, output = run(group, "nosuch", "-o", "file", db=db)

    assert status == 2
    assert "No such command 'nosuch'" in output


@pytest.mark.parametrize("page", FORMS_OF_PAGES)
def test_a_page_has_a_form_and_a_button_for_each_output(page: str, demo_client: FlaskClient) -> None:
    text = demo_client.get(page).text

    for these in FORMS_OF_PAGES[page]:
        for output in these:
            assert f'action="/publish/{output.offer.address}"' in text
            assert f">{output.offer.button}<" in text
            assert f">{output.offer.heading}</h2>" in text or not output.offer.heading


@pytest.mark.parametrize("page", FORMS_OF_PAGES)
def test_a_page_has_a_field_with_the_default_of_each_option(page: str, demo_client: FlaskClient) -> None:
    text = demo_client.get(page).text

    for these in FORMS_OF_PAGES[page]:
        options = options_of(these)
        for option in options:
            assert re.search(rf'<(input|select|textarea)[^>]* name="{option.field}"', text), option.field
            if isinstance(option, OneOf | SomeOf):
                for each in option.choices:
                    assert f' value="{each.value}"' in text, each.value
            if isinstance(option, OneOf) and option.default:
                chosen = rf'name="{option.field}" value="{option.default}" checked'
                assert re.search(chosen, text), option.field


@pytest.mark.parametrize(
    ("these", "option"),
    CHOSEN_ON_THE_PAGE,
    ids=lambda each: each[0].offer.address if isinstance(each, tuple) else each.field,
)
def test_an_invalid_value_is_reported_beside_its_field(
    these: tuple[Output, ...], option: Option, demo_client: FlaskClient
) -> None:
    app = demo_client.application
    with app.test_request_context():
        app.preprocess_request()
        sent = {field: [*values] for field, values in first_values(options_of(these)).items()}
    sent["kind"] = [these[0].name]

    answer = demo_client.post(f"/publish/{these[0].offer.address}", data=sent | {option.field: ["no such"]})

    assert answer.status_code == 400
    assert f'id="{option.field}-error"' in answer.text
    assert "no such" in answer.text
    with app.app_context():
        assert jobs().newest() == ()


def test_all_errors_of_a_form_are_reported_at_once(demo_client: FlaskClient) -> None:
    answer = demo_client.post("/publish/files/table", data={"kind": "csv"})

    assert answer.status_code == 400
    assert 'id="rows-error"' in answer.text
    assert 'id="entries-error"' in answer.text


@pytest.mark.parametrize("address", ["nosuch", "files/nosuch"])
def test_an_unknown_output_is_not_found(address: str, demo_client: FlaskClient) -> None:
    assert demo_client.post(f"/publish/{address}").status_code == 404


@pytest.mark.parametrize(("name", "kind"), KINDS)
def test_each_kind_of_file_is_written_and_reported_by_commands_and_pages(
    name: str, kind: str, demo_store: Store, tmp_path: Path
) -> None:
    output = OUTPUTS[name]
    path = tmp_path / f"file{'' if output.folder else output.suffix}"
    with demo_store.read() as reader:
        order = Order.of(reader, output, {output.apart: kind} if kind else {})
        report = order.write(
            Library(reader), path, day="2026-03-01", ids=None, on_progress=lambda done, total=0: None
        )

    assert path.exists()
    assert report_message(output, report)
    if output.group:  # a backup has its own command
        assert "".join(printed(output, "PATH", report)).startswith("Wrote PATH")
        assert document(output, "PATH", report)["file"] == "PATH"


def test_values_that_a_writer_rejects_are_rejected_before_writing(demo_store: Store, tmp_path: Path) -> None:
    with demo_store.read() as reader:
        with pytest.raises(BadInput, match="nosuch"):
            Order.of(reader, OUTPUTS["csv"], {"columns": ("nosuch",)})
        with pytest.raises(BadInput, match="nowhere"):
            Order.of(reader, OUTPUTS["skos"], {"base": "nowhere"})
        with pytest.raises(BadInput, match="fr"):
            Order.of(reader, OUTPUTS["epub"], {"vernaculars": ("fr",)})


@pytest.mark.parametrize("field", ["topic", "verdict"])
@pytest.mark.parametrize("language", ["en", "cy", "ga"])
def test_the_error_summary_links_to_the_field_in_every_language(
    field: str, language: str, demo_client: FlaskClient
) -> None:
    sent = {"paper": "a5", "drafts": "all", "direction": "articles", field: "no such"}

    answer = demo_client.post("/publish/pdf", data=sent, headers={"Accept-Language": language})

    assert f'<a href="#{field}">' in answer.text


ANOTHER = {
    "topic": "throw", "origin": "coined", "verdict": "fits", "codes": ("r2",),
    "vernaculars": ("cy",), "words": "ga", "directions": ("reverse",),
}  # fmt: skip
"""A value other than the default for each selection option that is not a flag."""
OF_A_SELECTION = {
    option.name: option
    for output in OUTPUTS.values()
    for option in output.options
    if option.goes in ("selection", "narrowing")
}


@pytest.mark.parametrize("name", OF_A_SELECTION)
def test_each_selection_option_changes_the_selection(name: str, demo_store: Store) -> None:
    option = OF_A_SELECTION[name]
    with demo_store.read() as reader:
        given = {**ANOTHER, "source": reader.all(Source)[0].label}
        value = not option.default if isinstance(option, Flag) else given[name]
        assert selection_of(reader, {name: value}) != selection_of(reader, {})


@pytest.mark.parametrize("name", [name for name in OUTPUTS if OUTPUTS[name].selects])
def test_every_publication_has_the_selection_options(name: str) -> None:
    assert set(SELECTION) <= set(OUTPUTS[name].options)
