"""The documents name only files, functions, commands and addresses that exist."""

import ast
import re
import shlex
from collections.abc import Iterator
from functools import cache
from importlib import import_module
from importlib.util import find_spec
from itertools import chain
from pathlib import Path

import click
import pytest

from app.cli import main
from tests.test_house import LAYOUT

ROOT = Path(__file__).parent.parent
DOCUMENTS = (
    "README.md",
    "DEVELOPERS.md",
    "app/REFERENCE.md",
    "app/web/translations/README.md",
    "exports/FIELDS.md",
    "exports/tbx/README.md",
    "static/fonts/README.md",
    "termbase/languages/README.md",
    "tests/termbase/store/landed/README.md",
)
FOLDERS = ("app", "exports", "static", "termbase", "tests")
PATH = re.compile(r"[\w.*{},-]+(?:/[\w.*{},-]+)*/?")
SUFFIXES = (".html", ".js", ".json", ".md", ".po", ".py", ".toml")
IDENTIFIER = re.compile(r"[A-Za-z_]\w*(?:\.[A-Za-z_]\w*)*")
NAME_IN_MODULE = re.compile(r"`([A-Za-z_]\w*)`(?: of| in|s of|s in)? \(?`([\w/]+\.py)`")
NOT_OURS = {
    "NORMAL": "a value of SQLite's `synchronous`",
    "ED": "a tag of RIS",
    "U1": "a tag of RIS",
    "TABLE.COLUMN": "any table and column",
    "FILE.files": "any file's folder",
    "Attributes": "a section of a docstring",
    "quick_check": "a pragma of SQLite",
    "integrity_check": "a pragma of SQLite",
    "ValueError": "Python's",
    "write_x(library, path, *, ..., on_progress=None)": "the writer of any output",
}
"""What looks like a name in the code and is none."""


def _text(document: str) -> str:
    return (ROOT / document).read_text("utf-8")


def _prose(document: str) -> str:
    """Return a document without its blocks of code."""
    return re.sub(r"^```.*?^```$", "", _text(document), flags=re.M | re.S)


def _in_backticks(document: str) -> list[str]:
    return [" ".join(words.split()) for words in re.findall(r"`([^`]+)`", _prose(document))]


def _all_of(path: str) -> Iterator[str]:
    """Yield the paths that `a/{b,c}.py` stands for."""
    if not (braces := re.search(r"\{([^}]*)\}", path)):
        yield path
        return
    for each in braces[1].split(","):
        yield from _all_of(path[: braces.start()] + each + path[braces.end() :])


def _is_path(words: str, document: str) -> bool:
    first = words.partition("/")[0]
    return PATH.fullmatch(words) is not None and (
        ("/" in words and (first in FOLDERS or (words.endswith("/") and "/" in document)))
        or (words.endswith(SUFFIXES) and not words.startswith("."))
    )


def _exists(path: str, document: str) -> bool:
    beside = (ROOT / document).parent
    return any(next(iter(start.glob(path.rstrip("/"))), None) for start in (ROOT, beside))


@pytest.mark.parametrize("document", DOCUMENTS)
def test_every_path_exists(document: str) -> None:
    named = chain.from_iterable(
        _all_of(words) for words in _in_backticks(document) if _is_path(words, document)
    )
    assert [path for path in named if not _exists(path, document)] == []


@pytest.mark.parametrize("document", DOCUMENTS)
def test_every_link_leads_somewhere(document: str) -> None:
    wrong = []
    for target in re.findall(r"\]\(([^)]+)\)", _prose(document)):
        if target.startswith(("http://", "https://")):
            continue
        path, _, heading = target.partition("#")
        file = (ROOT / document).parent / path if path else ROOT / document
        if not file.exists() or (heading and heading not in _headings(file)):
            wrong.append(target)
    assert wrong == []


def _headings(file: Path) -> set[str]:
    """Return the headings of a document, as links name them."""
    texts = re.findall(r"^#+ (.+)$", file.read_text("utf-8"), flags=re.M)
    return {re.sub(r"[^\w -]", "", text.lower()).replace(" ", "-") for text in texts}


@cache
def _defined(path: Path) -> frozenset[str]:
    """Return the names that a module defines or uses, and its one-word texts (columns, variables)."""
    names: set[str] = set()
    for node in ast.walk(ast.parse(path.read_text("utf-8"))):
        match node:
            case ast.FunctionDef(name=name) | ast.AsyncFunctionDef(name=name) | ast.ClassDef(name=name):
                names.add(name)
            case ast.Name(id=name, ctx=ast.Store()) | ast.arg(arg=name) | ast.keyword(arg=str(name)):
                names.add(name)
            case ast.alias(name=name):
                names |= set(name.split("."))
            case ast.Attribute(attr=name) | ast.Constant(value=str(name)) if name.isidentifier():
                names.add(name)
            case _:
                pass
    return frozenset(names)


@cache
def _defined_anywhere() -> frozenset[str]:
    modules = chain.from_iterable((ROOT / folder).rglob("*.py") for folder in FOLDERS)
    names = frozenset(chain.from_iterable(map(_defined, modules)))
    templates = chain.from_iterable(p.read_text("utf-8").split() for p in (ROOT / "app").rglob("*.html"))
    return names | {word.partition("(")[0] for word in templates}


def _resolves(name: str) -> bool:
    """Check a name such as `Reader`, `Reader.entries` or `termbase.errors.Problems`."""
    parts = name.split(".")
    if parts[0] not in ("app", "exports", "termbase"):
        return all(part in _defined_anywhere() for part in parts)
    for end in range(len(parts), 0, -1):
        if find_spec(parts[0]) and _is_module(parts[:end]):
            value: object = import_module(".".join(parts[:end]))
            for part in parts[end:]:
                if not hasattr(value, part):
                    return False
                value = getattr(value, part)
            return True
    return False


def _is_module(parts: list[str]) -> bool:
    path = ROOT.joinpath(*parts)
    return path.with_suffix(".py").exists() or (path / "__init__.py").exists()


def _names_in(words: str) -> list[str]:
    """Return the names of code in some words, such as `Reader.entries()` or `entries.save(act, entry)`."""
    if words in NOT_OURS or words.startswith((".venv", "HOLD_", "-", "wordhold ", "python ", "uv ", "bash ")):
        return []
    calls = re.findall(r"([A-Za-z_][\w.]*)\(", words)
    alone = [words] if IDENTIFIER.fullmatch(words) and not words.endswith(SUFFIXES) else []
    return [
        name
        for name in (*calls, *alone)
        if name in calls or "_" in name or "." in name or (name[0].isupper() and len(name) > 2)
    ]


def test_every_name_of_the_code_exists() -> None:
    named = chain.from_iterable(map(_names_in, _in_backticks("DEVELOPERS.md")))
    assert sorted({name for name in named if not _resolves(name)}) == []


def test_names_are_in_the_modules_that_are_named_with_them() -> None:
    pairs = NAME_IN_MODULE.findall(" ".join(_prose("DEVELOPERS.md").split()))
    assert pairs
    assert [(name, path) for name, path in pairs if name not in _defined(ROOT / path)] == []


def _commands(document: str) -> Iterator[str]:
    """Yield the command lines of a document, from its blocks and from words in backticks."""
    for block in re.findall(r"^```sh\n(.*?)^```$", _text(document), flags=re.M | re.S):
        yield from (line.split("  #")[0] for line in block.splitlines())
    yield from _in_backticks(document)


@pytest.mark.parametrize("document", [d for d in DOCUMENTS if not d.startswith("exports/FIELDS")])
def test_every_command_of_wordhold_exists(document: str) -> None:
    wrong = []
    for line in _commands(document):
        words = line.replace("bash app/start ", "wordhold ").split()
        if words[:1] == ["wordhold"] and not _is_command(shlex.split(" ".join(words[1:]))):
            wrong.append(line)
    assert wrong == []


def _is_command(words: list[str]) -> bool:
    """Check that a command exists, with its options."""
    command: click.Command = main
    context = click.Context(main, info_name="wordhold")
    while isinstance(command, click.Group) and words and not words[0].startswith("-"):
        step = command.get_command(context, words.pop(0))
        if step is None:
            return False
        command, context = step, click.Context(step, parent=context)
    options = {name for each in command.get_params(context) for name in (*each.opts, *each.secondary_opts)}
    return {word.partition("=")[0] for word in words if word.startswith("-")} <= options


def test_modules_and_scripts_that_are_run_exist() -> None:
    lines = [line for document in DOCUMENTS for line in _commands(document)]
    modules = {
        name for line in lines for name in re.findall(r"-m ((?:app|exports|termbase|tests)[\w.]*)", line)
    }
    scripts = {
        name for line in lines for name in re.findall(r"(?:bash|python|pytest) ([\w/]+(?:\.py)?)", line)
    }

    assert modules
    assert [name for name in sorted(modules) if not _is_module(name.split("."))] == []
    assert [name for name in sorted(scripts) if not (ROOT / name).exists()] == []


@pytest.mark.parametrize("layer", LAYOUT)
def test_the_layout_is_shown_from_the_bottom_up(layer: str) -> None:
    section = _prose("DEVELOPERS.md").partition(f"\n### `{layer}`")[2].partition("\n#")[0]
    rows = re.findall(r"^\| (`.*?) \|", section, flags=re.M)
    assert tuple(re.findall(r"`(\w+)`", " ".join(rows))) == LAYOUT[layer]
