"""The built wheel works where only the program and the libraries it names are installed."""

import re
import subprocess
import sys
import tomllib
from collections.abc import Iterator
from importlib.metadata import Distribution, PackageNotFoundError, distribution
from pathlib import Path
from zipfile import ZipFile

import pytest

ROOT = Path(__file__).parents[1]
PACKAGES = ("app", "exports", "termbase", "static")
SERVED = """
import re
from app.web import Settings, create_app
from termbase.store.engine import Store

store = Store.open("demo/wordhold-demo.sqlite")
browser = create_app(Settings(store)).test_client()
page = browser.get("/")
addresses = {"/entries/c0001", "/publish", *re.findall(r'(?:src|href)="(/static/[^"]+)"', page.text)}
addresses |= {"/entries/c0001?lang=cy"}
answers = {address: browser.get(address).status_code for address in ("/", *addresses)}
store.close()
print({address: code for address, code in answers.items() if code != 200}, len(answers) > 4)
"""


def needed_by(name: str) -> Iterator[Distribution]:
    """Yield an installed distribution and everything that it needs."""
    waiting, seen = [name], set[str]()
    while waiting:
        key = re.sub(r"[-_.]+", "-", waiting.pop()).lower()
        if key in seen:
            continue
        seen.add(key)
        try:
            found = distribution(key)
        except PackageNotFoundError:  # for another system or an older Python
            continue
        yield found
        required = [each for each in found.requires or () if "extra ==" not in each]
        waiting += [re.split(r"[^\w.-]", each, maxsplit=1)[0] for each in required]


def files_of(found: Distribution) -> set[Path]:
    """Return the top-level files and folders of a distribution."""
    tops = {each.parts[0] for each in found.files or () if each.parts[0] not in ("..", "__pycache__")}
    return {Path(str(found.locate_file(top))) for top in tops}


@pytest.fixture(scope="module")
def wheel(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Build the wheel."""
    pytest.importorskip("hatchling", reason="hatchling, which builds the wheel, is not installed")
    folder = tmp_path_factory.mktemp("wheel")
    command = [sys.executable, "-m", "hatchling", "build", "-t", "wheel", "-d", str(folder)]
    built = subprocess.run(command, cwd=ROOT, capture_output=True, text=True, check=False)
    assert built.returncode == 0, built.stderr
    return next(folder.glob("*.whl"))


@pytest.fixture(scope="module")
def installed(wheel: Path, tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Return the `bin` of an environment with the wheel and with what it needs, and nothing else."""
    place = tmp_path_factory.mktemp("environment")
    subprocess.run([sys.executable, "-m", "venv", "--without-pip", "--symlinks", place], check=True)
    programs = place / "bin"
    packages = place / "lib" / f"python{sys.version_info[0]}.{sys.version_info[1]}" / "site-packages"
    own = tomllib.loads((ROOT / "pyproject.toml").read_text("utf-8"))["project"]["dependencies"]
    for requirement in own:
        for found in needed_by(re.split(r"[^\w.-]", requirement, maxsplit=1)[0]):
            for path in files_of(found):
                if not (packages / path.name).exists():
                    (packages / path.name).symlink_to(path)
    command = [
        sys.executable, "-m", "pip", "--python", programs / "python", "install", "-q", "--no-deps",
        "--no-index", "--no-compile", "--disable-pip-version-check", wheel,
    ]  # fmt: skip
    subprocess.run(command, check=True)
    return programs


def run(command: list[str | Path], folder: Path) -> str:
    """Run a program outside the checkout, and return what it prints."""
    ran = subprocess.run(
        command,
        cwd=folder,
        capture_output=True,
        text=True,
        check=False,
        env={"HOME": str(folder), "LANG": "C.UTF-8"},
    )
    assert ran.returncode == 0, ran.stderr
    return ran.stdout


def test_every_file_of_the_packages_is_in_the_wheel(wheel: Path) -> None:
    with ZipFile(wheel) as opened:
        inside = set(opened.namelist())
    names = {
        path.relative_to(ROOT).as_posix()
        for package in PACKAGES
        for path in (ROOT / package).rglob("*")
        if path.is_file() and "__pycache__" not in path.parts
    }

    assert {
        name.replace("static/", "app/static/", 1) if name.startswith("static/") else name for name in names
    } <= inside
    assert not [name for name in inside if name.startswith("tests/")]


def test_the_installed_program_works_without_development_packages(installed: Path, tmp_path: Path) -> None:
    python, wordhold = installed / "python", installed / "wordhold"
    database = ["--db", "demo/wordhold-demo.sqlite"]

    assert "Commands:" in run([wordhold, "--help"], tmp_path)
    run([wordhold, "demo", "--dir", "demo", "--no-serve"], tmp_path)
    made = next((tmp_path / "demo").glob("*.sqlite"))
    made.rename(made.with_name("wordhold-demo.sqlite"))
    run([wordhold, "export", "tbx", "-o", "names.tbx", *database], tmp_path)
    run([wordhold, "publish", "pdf", "-o", "glossary.pdf", *database], tmp_path)
    run([wordhold, "publish", "epub", "-o", "glossary.epub", *database], tmp_path)
    assert run([python, "-I", "-c", SERVED], tmp_path).strip() == "{} True"


def test_no_tests_are_installed(installed: Path, tmp_path: Path) -> None:
    development = ("tests", "pytest", "hypothesis", "mypy", "playwright", "hatchling", "pypdf")
    code = f"from importlib.util import find_spec; print([n for n in {development} if find_spec(n)])"

    assert run([installed / "python", "-I", "-c", code], tmp_path).strip() == "[]"
