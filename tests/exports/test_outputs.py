"""The table of outputs: it names what exists, imports none of it, and describes it correctly."""

import inspect
import json
import subprocess
import sys
from collections import Counter
from collections.abc import Callable, Mapping
from pathlib import Path
from typing import Literal, get_args, get_origin, get_type_hints

import pytest

from exports.options import Choice, Flag, Folders, Line, Lines, OneOf, Option, SomeOf, choice_of
from exports.outputs import OUTPUTS, Output, object_named
from exports.tbx.styles import DIALECTS
from termbase.errors import BadInput

ROOT = Path(__file__).parents[2]
KINDS = [(name, kind) for name, output in OUTPUTS.items() for kind in output.kinds]
CHECKED = [name for name, output in OUTPUTS.items() if output.check]


def called(name: str) -> Callable[..., object]:
    result = object_named(name)
    assert callable(result)
    return result


def written_options(output: Output) -> list[Option]:
    """The options that are arguments of the writer."""
    return [option for option in output.options if option.goes == "writer"]


def test_importing_the_table_imports_no_writer_and_no_library_of_one() -> None:
    show = "import json, sys, exports.outputs; print(json.dumps(sorted(sys.modules)))"
    ran = subprocess.run([sys.executable, "-c", show], cwd=ROOT, capture_output=True, text=True, check=True)
    read = set(json.loads(ran.stdout))

    writers = {output.write.partition(":")[0] for output in OUTPUTS.values()}
    assert not read & writers
    assert {name for name in read if name.startswith("exports.")} == {
        "exports.losses", "exports.options", "exports.outputs",
    }  # fmt: skip
    libraries = {"click", "flask", "fontTools", "jinja2", "lxml", "openpyxl", "PIL", "rdflib", "sqlalchemy"}
    assert not {name.partition(".")[0] for name in read} & {*libraries, "typst"}


@pytest.mark.parametrize("name", OUTPUTS)
def test_each_writer_exists_and_accepts_the_arguments_of_its_row(name: str) -> None:
    output = OUTPUTS[name]
    takes = inspect.signature(called(output.write)).parameters

    named_in_row = {option.name for option in written_options(output)} | {"on_progress"}
    for argument, says_so in (
        ("selection", output.selects),
        ("as_of", output.dated),
        ("ids", any(option.goes == "ids" for option in output.options)),
    ):
        if says_so:
            named_in_row.add(argument)
    others = {each for each, parameter in takes.items() if parameter.default is inspect.Parameter.empty}
    assert named_in_row <= takes.keys()
    assert others - named_in_row == set(list(takes)[:2])  # the library and the path


@pytest.mark.parametrize("name", OUTPUTS)
def test_each_default_and_each_list_of_choices_matches_the_writer(name: str) -> None:
    write = called(OUTPUTS[name].write)
    takes, hints = inspect.signature(write).parameters, get_type_hints(write)

    for option in written_options(OUTPUTS[name]):
        default = () if isinstance(option, SomeOf | Lines | Folders) else option.default
        assert takes[option.name].default == default, option.name
        if isinstance(option, OneOf):
            assert get_origin(hints[option.name]) is Literal
            assert get_args(hints[option.name]) == tuple(each.value for each in option.choices)


@pytest.mark.parametrize("name", CHECKED)
def test_each_check_takes_the_options_of_its_writer(name: str) -> None:
    given = {
        option.name: option.default
        for option in written_options(OUTPUTS[name])
        if isinstance(option, Flag | OneOf | Line)
    }

    inspect.signature(called(OUTPUTS[name].check)).bind(object(), **given)


@pytest.mark.parametrize(("name", "kind"), KINDS)
def test_each_kind_of_file_declares_what_it_leaves_out(name: str, kind: str) -> None:
    left_out = OUTPUTS[name].left_out(kind)

    assert isinstance(left_out, Mapping)
    assert bool(left_out) == bool(OUTPUTS[name].column(kind).left_out)
    values = [value for column in OUTPUTS[name].columns for value in column.values]
    assert sorted(values) in ([], sorted(OUTPUTS[name].kinds))


def test_words_fields_and_names_mean_one_thing_each() -> None:
    for output in OUTPUTS.values():
        for attribute in ("name", "word", "field"):
            counts = Counter(getattr(option, attribute) for option in output.options)
            assert {each for each, number in counts.items() if each and number > 1} == set(), output.name
    by_form: dict[tuple[bool, str], set[str]] = {}
    for output in OUTPUTS.values():
        address = output.offer.address if output.offer.heading else "the glossary"
        on_files = output.offer.address.startswith("files/")
        for option in output.options:
            if option.field:
                by_form.setdefault((on_files, option.field), set()).add(address)
    assert {field: forms for field, forms in by_form.items() if len(forms) > 1} == {}


def test_tbx_dialects_have_the_names_used_in_their_files() -> None:
    dialect = OUTPUTS["tbx"].option("dialect")

    assert isinstance(dialect, OneOf)
    assert {each.value: each.label for each in dialect.choices} == {
        name: each.title for name, each in DIALECTS.items()
    }


def test_file_names_follow_the_chosen_options() -> None:
    assert OUTPUTS["pdf"].file_name({"paper": "a4"}, "2026-03-01") == "glossary-a4.pdf"
    assert OUTPUTS["tbx"].file_name({"dialect": "wordhold"}, "2026-03-01") == "wordhold.tbx"
    assert OUTPUTS["skos"].file_name({"format_name": "json-ld"}, "2026-03-01") == "glossary.jsonld"
    assert OUTPUTS["csv"].file_name({"rows": "slips"}, "2026-03-01") == "slips.csv"
    assert OUTPUTS["site"].file_name({}, "2026-03-01") == "glossary-site.zip"
    assert OUTPUTS["backup"].file_name({}, "2026-03-01") == "backup-2026-03-01.zip"


def test_an_invalid_choice_is_rejected_with_its_place() -> None:
    with pytest.raises(BadInput) as refused:
        choice_of((Choice("a5"), Choice("a4")), "a3", "paper")

    assert (refused.value.where, refused.value.what) == ("paper", "“a3” is not one of the options.")
    assert refused.value.fix


@pytest.mark.parametrize(
    "name", ["exports.nosuch:write", "exports.losses:nosuch", "exports.losses:CARRIED[x]"]
)
def test_an_unknown_name_is_an_error(name: str) -> None:
    with pytest.raises((ModuleNotFoundError, AttributeError, KeyError)):
        object_named(name)


def test_every_option_is_on_the_command_line_or_in_a_form() -> None:
    for output in OUTPUTS.values():
        for option in output.options:
            assert option.word or option.field, option.name
            assert option.label if option.field else option.word.startswith("--"), option.name
            assert option.word or not isinstance(option, Flag) or option.ways or option.field
            assert isinstance(option, Flag | OneOf | SomeOf | Line | Lines | Folders)
