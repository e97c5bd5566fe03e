"""What all commands share: which termbase, in whose name; how errors, progress and JSON are printed."""

import getpass
import os
import sys
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from datetime import UTC, datetime
from pathlib import Path
from typing import Any, ParamSpec, Protocol, TypeVar

import click
import msgspec
from platformdirs import user_data_path
from tqdm import tqdm

from termbase.errors import WordholdError
from termbase.store import Store

__all__ = [
    "Command", "as_json_option", "db_option", "default_place", "folder_of", "opened", "person_option",
    "print_json", "progress", "today",
]  # fmt: skip

P = ParamSpec("P")
R = TypeVar("R")
BAD_INPUT = 2


class Seen(Protocol):
    """To be called with how many are done, of how many in all (0: not known)."""

    def __call__(self, done: int, total: int = 0) -> None: ...


class Command(click.Command):
    """A command that turns errors of the record into one clear message and exit status 2."""

    def invoke(self, ctx: click.Context) -> Any:
        """Run the command."""
        try:
            return super().invoke(ctx)
        except WordholdError as error:
            _refuse(error.what, error.where, error.mend)
        except UnicodeDecodeError as error:
            byte = f"Byte {error.start + 1} of the text is not UTF-8."
            _refuse(byte, self.name or "", "Save the file as UTF-8 first.")
        except OSError as error:
            _refuse(
                error.strerror or str(error), str(error.filename or ""), "Check the path and the permissions."
            )


def _refuse(what: str, where: str, mend: str) -> None:
    place = f"{where}: " if where else ""
    click.echo(f"wordhold: {place}{what}", err=True)
    if mend:
        click.echo(f"  {mend}", err=True)
    sys.exit(BAD_INPUT)


def default_place() -> str:
    """The termbase in the user's data folder."""
    return str(user_data_path("wordhold") / "termbase.sqlite")


def db_option(command: Callable[P, R]) -> Callable[P, R]:
    """`--db PATH_OR_URL`, else WORDHOLD_DB, else a file in the user's data folder."""
    return click.option(
        "--db",
        metavar="PATH_OR_URL",
        envvar="WORDHOLD_DB",
        default=default_place,
        show_default="WORDHOLD_DB, else a file in your data folder",
        help="The termbase: a file, or postgresql://...",
    )(command)


def person_option(command: Callable[P, R]) -> Callable[P, R]:
    """`--as NAME`: in whose name the act stands in the history."""
    return click.option(
        "--as", "by", metavar="NAME", envvar="WORDHOLD_PERSON", default=_user,
        show_default="WORDHOLD_PERSON, else you",
        help="In whose name this is done.",
    )(command)  # fmt: skip


def as_json_option(command: Callable[P, R]) -> Callable[P, R]:
    """`--json`: one JSON document and nothing else on standard output."""
    text = "Print one JSON document (see DEVELOPERS.md)."
    return click.option("--json", "as_json", is_flag=True, help=text)(command)


@contextmanager
def opened(db: str) -> Iterator[Store]:
    """The termbase, closed at the end."""
    store = Store.open(db)
    try:
        yield store
    finally:
        store.close()


def print_json(name: str, **content: Any) -> None:
    """Print a document: `{"wordhold": name, ...}`, in UTF-8."""
    document = {"wordhold": name, **content}
    click.echo(msgspec.json.format(msgspec.json.encode(document), indent=2).decode())


@contextmanager
def progress(title: str) -> Iterator[Seen]:
    """A bar on the terminal's error output; gives a function to call with how many of how many are done."""
    with tqdm(desc=title, file=sys.stderr, leave=False, disable=None, unit="") as bar:

        def seen(done: int, total: int = 0) -> None:
            bar.total = total or None
            bar.n = done
            bar.refresh()

        yield seen


def today() -> str:
    """Today's date (ISO), or the one SOURCE_DATE_EPOCH asks for, so that files can be made again alike."""
    epoch = os.environ.get("SOURCE_DATE_EPOCH")
    when = datetime.fromtimestamp(int(epoch), UTC) if epoch else datetime.now(UTC)
    return when.date().isoformat()


def folder_of(path: Path) -> Path:
    """The folder a file is to be written in.

    Raises:
        click.BadParameter: there is no such folder.
    """
    if not path.parent.is_dir():
        raise click.BadParameter(f"there is no folder {path.parent}")
    return path.parent


def _user() -> str:
    try:
        return getpass.getuser()
    except (OSError, KeyError, ImportError):  # no such user in this container
        return "researcher"
