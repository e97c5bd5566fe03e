"""Architecture tests: dependency direction, module sizes, module names, imports and messages."""

import ast
import re
from pathlib import Path

import pytest

ROOT = Path(__file__).parent.parent
PACKAGES = ("termbase", "exports", "app")
MODULES = [p for name in PACKAGES for p in sorted((ROOT / name).rglob("*.py"))]
ABOVE = {"termbase": ("exports", "app"), "exports": ("app",), "app": ()}
FOREIGN = {
    "termbase": ("flask", "click", "lxml", "typst", "jinja2"),
    "exports": ("flask", "click"),
    "app": (),
}
LAYOUT = {
    "termbase": (
        "loading", "messages", "errors", "fields", "transcripts", "tomlfiles", "technique", "codes",
        "languages", "dates", "rules", "judging", "voice", "record", "evidence", "wordlists", "media",
        "store", "importing", "search", "acts", "overviews", "proofing", "demo",
    ),
    "exports": (
        "files", "losses", "options", "figures", "tbx", "outputs", "field_labels", "glossary", "skos",
        "tables", "citations", "backup",
    ),
}  # fmt: skip
"""The packages and single modules of a layer, from the bottom up: each imports only from those before it."""
STORE = LAYOUT["termbase"].index("store")
MOST_SINGLE_MODULES = 6
"""The most modules of `termbase` that may be outside its packages."""
SHORT, MOST_SHORT = 50, 15
"""Modules with fewer lines than `SHORT` are short. `MOST_SHORT` may be, without `__init__` and migrations."""


def _name(path: Path) -> str:
    parts = path.relative_to(ROOT).with_suffix("").parts
    return ".".join(parts[:-1] if parts[-1] == "__init__" else parts)


def _imports(path: Path) -> set[str]:
    found = set()
    for node in ast.walk(ast.parse(path.read_text("utf-8"))):
        if isinstance(node, ast.Import):
            found |= {alias.name for alias in node.names}
        elif isinstance(node, ast.ImportFrom) and node.module and not node.level:
            whole = {f"{node.module}.{alias.name}" for alias in node.names}
            modules = {name for name in whole if (ROOT / f"{name.replace('.', '/')}.py").exists()}
            found |= whole if whole == modules else whole | {node.module}
    return found


def _within(name: str, package: str) -> bool:
    return name == package or name.startswith(package + ".")


def _modules_of(layer: str) -> list[Path]:
    """Return the modules of a layer, without its own `__init__`."""
    return [p for p in MODULES if _within(_name(p), layer) and _name(p) != layer]


def _part(path: Path) -> str:
    """Return the package or single module of its layer to which a module belongs."""
    return path.relative_to(ROOT).parts[1].removesuffix(".py")


@pytest.mark.parametrize("path", MODULES, ids=_name)
def test_packages_import_only_allowed_packages(path: Path) -> None:
    package = path.relative_to(ROOT).parts[0]
    barred = (*ABOVE[package], *FOREIGN[package])
    wrong = {name for name in _imports(path) if any(_within(name, b) for b in barred)}
    assert not wrong, f"{_name(path)} reaches up to {sorted(wrong)}"


@pytest.mark.parametrize("layer", LAYOUT)
def test_the_layout_names_every_package(layer: str) -> None:
    assert {_part(p) for p in _modules_of(layer)} == set(LAYOUT[layer])


@pytest.mark.parametrize("path", [p for layer in LAYOUT for p in _modules_of(layer)], ids=_name)
def test_packages_import_only_from_those_before_them(path: Path) -> None:
    layer = path.relative_to(ROOT).parts[0]
    order = LAYOUT[layer]
    later = {f"{layer}.{name}" for name in order[order.index(_part(path)) + 1 :]}
    wrong = {name for name in _imports(path) if any(_within(name, each) for each in later)}
    assert not wrong, f"{_name(path)} imports from above it: {sorted(wrong)}"


@pytest.mark.parametrize(
    "path", [p for p in _modules_of("termbase") if LAYOUT["termbase"].index(_part(p)) < STORE], ids=_name
)
def test_packages_below_the_store_do_no_input_and_output(path: Path) -> None:
    assert not {name for name in _imports(path) if _within(name, "sqlalchemy")}


def test_there_are_no_circular_imports() -> None:
    names = {_name(p): p for p in MODULES}
    graph = {name: {i for i in _imports(p) if i in names and i != name} for name, p in names.items()}
    done: set[str] = set()

    def visit(name: str, trail: tuple[str, ...]) -> None:
        assert name not in trail, " -> ".join((*trail[trail.index(name) :], name))
        if name not in done:
            for target in sorted(graph[name]):
                visit(target, (*trail, name))
            done.add(name)

    for name in graph:
        visit(name, ())


@pytest.mark.parametrize("path", MODULES, ids=_name)
def test_modules_have_at_most_500_lines(path: Path) -> None:
    assert len(path.read_text("utf-8").splitlines()) <= 500


def test_few_modules_are_short() -> None:
    lines = {
        _name(p): len(p.read_text("utf-8").splitlines())
        for p in MODULES
        if p.stem != "__init__" and "migrations" not in p.parts
    }
    short = [name for name, number in lines.items() if number < SHORT]
    assert len(short) <= MOST_SHORT, sorted(short)


def test_few_modules_are_outside_the_packages_of_termbase() -> None:
    single = [p.stem for p in (ROOT / "termbase").glob("*.py") if p.stem != "__init__"]
    assert len(single) <= MOST_SINGLE_MODULES, sorted(single)


@pytest.mark.parametrize(
    "path", [p for p in MODULES if p.stem == "__init__" and not _within(_name(p), "app")], ids=_name
)
def test_packages_hold_only_a_docstring(path: Path) -> None:
    assert [type(node) for node in ast.parse(path.read_text("utf-8")).body] == [ast.Expr]


def test_modules_have_meaningful_names() -> None:
    barred = {"utils", "util", "helpers", "helper", "common", "misc"}
    assert not [p for p in MODULES if p.stem in barred]


def test_functions_contain_no_imports() -> None:
    hidden = [
        f"{_name(p)}: {node.name}"
        for p in MODULES
        for node in ast.walk(ast.parse(p.read_text("utf-8")))
        if isinstance(node, ast.FunctionDef | ast.AsyncFunctionDef)
        and any(isinstance(inner, ast.Import | ast.ImportFrom) for inner in ast.walk(node))
    ]
    assert not hidden


ERRORS = {
    "WordholdError", "BadInput", "NotFound", "InUse", "Conflict", "BadRows", "Damaged", "ReadOnly",
    "StorageFull", "Unavailable",
}  # fmt: skip
UNSPOKEN = ("demo/", "languages/checking.py")
"""Packages whose texts need no translation: the demo's own files, and the check of language files,
which only the command line shows."""
SPOKEN = [
    p
    for p in MODULES
    if p.is_relative_to(ROOT / "termbase")
    and not p.relative_to(ROOT / "termbase").as_posix().startswith(UNSPOKEN)
]


def _assigned(name: str, scope: ast.AST) -> list[ast.expr]:
    """Return the expressions assigned to a name within a function."""
    found = []
    for node in ast.walk(scope):
        if isinstance(node, ast.Assign) and len(node.targets) == 1:
            target = node.targets[0]
            if isinstance(target, ast.Name) and target.id == name:
                found.append(node.value)
            elif isinstance(target, ast.Tuple) and isinstance(node.value, ast.Tuple):
                found += [
                    value
                    for one, value in zip(target.elts, node.value.elts, strict=False)
                    if isinstance(one, ast.Name) and one.id == name
                ]
    return found


def _is_spoken(text: ast.expr, scope: ast.AST) -> bool:
    """Return whether a text can be translated, or is a value that is passed on."""
    match text:
        case ast.Constant():
            return text.value == ""
        case ast.IfExp():
            return _is_spoken(text.body, scope) and _is_spoken(text.orelse, scope)
        case ast.BoolOp():
            return all(_is_spoken(value, scope) for value in text.values)
        case ast.Name():
            return all(_is_spoken(value, scope) for value in _assigned(text.id, scope))
        case ast.Call(func=ast.Name()):
            return True
        case ast.Call(func=ast.Attribute(attr=method)):
            return method not in ("join", "format", "replace", "strip")
        case ast.Attribute() | ast.Subscript():
            return True
    return False


@pytest.mark.parametrize("path", SPOKEN, ids=_name)
def test_errors_of_the_record_can_be_translated(path: Path) -> None:
    tree = ast.parse(path.read_text("utf-8"))
    functions = [node for node in ast.walk(tree) if isinstance(node, ast.FunctionDef)]
    wrong = [
        f"line {text.lineno}: {ast.unparse(text)}"
        for scope in (*functions, tree)
        for call in ast.walk(scope)
        if isinstance(call, ast.Call) and isinstance(call.func, ast.Name) and call.func.id in ERRORS
        for text in (*call.args[:1], *(k.value for k in call.keywords if k.arg in ("fix", "where")))
        if call.func.id != "BadRows" and not _is_spoken(text, scope)
    ]
    assert not wrong, "use termbase.messages.message"


@pytest.mark.parametrize("path", SPOKEN, ids=_name)
def test_messages_are_made_of_literal_sentences(path: Path) -> None:
    """A template that is assembled where it is used cannot be found for the catalogues."""
    wrong = [
        f"line {call.lineno}: {ast.unparse(template)}"
        for call in ast.walk(ast.parse(path.read_text("utf-8")))
        if isinstance(call, ast.Call) and isinstance(call.func, ast.Name)
        for template in call.args[: {"message": 1, "message_of_number": 2}.get(call.func.id, 0)]
        if isinstance(template, ast.JoinedStr | ast.BinOp)
    ]
    assert not wrong


MOST_ANY = {"termbase": 0, "exports": 0, "app": 0}
"""How often `Any` may be used: never. Use `object`, a union, a TypeVar, a Protocol or a TypedDict."""
_QUOTED = re.compile(r"(?=.*[\[|])[\w\[\], .|]*\bAny\b[\w\[\], .|]*")


def _uses_of_any(path: Path) -> int:
    """Return how often a module uses `Any`, in quoted annotations too; its import does not count."""
    return sum(
        (isinstance(node, ast.Name) and node.id == "Any")
        or (
            isinstance(node, ast.Constant)
            and isinstance(node.value, str)
            and _QUOTED.fullmatch(node.value) is not None
        )
        for node in ast.walk(ast.parse(path.read_text("utf-8")))
    )


@pytest.mark.parametrize("package", PACKAGES)
def test_any_is_not_used(package: str) -> None:
    used = {_name(p): _uses_of_any(p) for p in MODULES if p.relative_to(ROOT).parts[0] == package}

    where = ", ".join(f"{name} {number}" for name, number in used.items() if number)
    assert sum(used.values()) <= MOST_ANY[package], f"{sum(used.values())} in {package}: {where}"
