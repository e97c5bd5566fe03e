"""What all commands share: which termbase, in whose name; how errors, progress and JSON are printed."""

import errno
import getpass
import os
import sys
from collections.abc import Callable, Iterator, Mapping
from contextlib import contextmanager
from dataclasses import fields, is_dataclass
from datetime import UTC, datetime
from typing import TYPE_CHECKING, NoReturn, ParamSpec, Protocol, TypeVar

import click
import msgspec
from platformdirs import user_data_path

from termbase.codes import written_out
from termbase.errors import BadInput, WordholdError
from termbase.linepatterns.partpaths import path_said
from termbase.linepatterns.records import Printed
from termbase.loading import late
from termbase.messages import plain
from termbase.notes import Said
from termbase.store import Store

if TYPE_CHECKING:
    import tqdm
else:
    tqdm = late("tqdm")

__all__ = [
    "Command", "JsonOption", "as_json_option", "db_option", "default_place", "opened", "person_option",
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

    def invoke(self, ctx: click.Context) -> object:
        """Run the command."""
        try:
            return super().invoke(ctx)
        except WordholdError as error:
            _refuse(error.what, error.where, error.mend)
        except UnicodeDecodeError as error:
            byte = f"Byte {error.start + 1} of the text is not UTF-8."
            _refuse(byte, self.name or "", "Save the file as UTF-8 first.")
        except UnicodeEncodeError as error:
            _refuse("It holds bytes that are no text.", ascii(error.object[:40]), "Type it again, in UTF-8.")
        except BrokenPipeError:  # the reader (head, less) has had enough; click ends quietly
            raise
        except OSError as error:
            if error.errno in (errno.ENOSPC, errno.EDQUOT):
                _refuse(
                    "The disk is full.", str(error.filename or ""), "Make room on the disk and try again."
                )
            _refuse(
                error.strerror or str(error), str(error.filename or ""), "Check the path and the permissions."
            )


def _refuse(what: str, where: str, mend: str) -> NoReturn:
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
        "--as", "by", metavar="NAME", envvar="WORDHOLD_PERSON", default=_user, callback=_named,
        show_default="WORDHOLD_PERSON, else you",
        help="Name to record in the history.",
    )(command)  # fmt: skip


def _named(_: click.Context, __: click.Parameter, name: str) -> str:
    cleaned = " ".join(name.split())
    if not cleaned:
        raise click.BadParameter("the history needs a name")
    return cleaned


class JsonOption(click.Option):
    """`--json`. `document` is the TypedDict that the command prints; None where it writes an output."""

    document: type | None = None


def as_json_option(document: type | None = None) -> Callable[[Callable[P, R]], Callable[P, R]]:
    """`--json`: print one JSON document of this type, and nothing else, on standard output."""
    option = type("JsonOption", (JsonOption,), {"document": document})
    text = "Print one JSON document (see app/REFERENCE.md)."
    return click.option("--json", "as_json", cls=option, is_flag=True, help=text)


@contextmanager
def opened(db: str, *, thorough: bool = False) -> Iterator[Store]:
    """The termbase, closed at the end; `thorough` checks it for damage however large it is."""
    store = Store.open(db, thorough=thorough)
    try:
        yield store
    finally:
        store.close()


def print_json(name: str, **content: object) -> None:
    """Print a document: `{"wordhold": name, ...}`, in UTF-8."""
    document = {"wordhold": name, **{field: _whole(value) for field, value in content.items()}}
    click.echo(msgspec.json.format(msgspec.json.encode(document, enc_hook=plain), indent=2).decode())


def _whole(value: object) -> object:
    """The same with every field of its records: one that was left out when a record was read from the store
    is its default there, and msgspec would leave it out again. What is kept as a code is said in English, and
    a part of a line is called by its name."""
    if isinstance(value, Said):
        return written_out(value)
    if isinstance(value, Printed):
        return {"part": str(path_said(value.part)), "text": value.text, "why": value.why}
    if is_dataclass(value) and not isinstance(value, type):
        return {field.name: _whole(getattr(value, field.name)) for field in fields(value)}
    if isinstance(value, Mapping):
        return {key: _whole(one) for key, one in value.items()}
    if isinstance(value, (tuple, list)):
        return [_whole(one) for one in value]
    return value


@contextmanager
def progress(title: str) -> Iterator[Seen]:
    """A bar on the terminal's error output; gives a function to call with how many of how many are done."""
    with tqdm.tqdm(desc=title, file=sys.stderr, leave=False, disable=None, unit="") as bar:

        def seen(done: int, total: int = 0) -> None:
            bar.total = total or None
            bar.n = done
            bar.refresh()

        yield seen


def today() -> str:
    """Today's date (ISO), or the one SOURCE_DATE_EPOCH asks for, so that files can be made again alike.

    Raises:
        BadInput: SOURCE_DATE_EPOCH is no number of seconds.
    """
    epoch = os.environ.get("SOURCE_DATE_EPOCH")
    try:
        when = datetime.fromtimestamp(int(epoch), UTC) if epoch else datetime.now(UTC)
    except (ValueError, OverflowError, OSError) as error:
        raise BadInput(
            f"{epoch!r} is no date.", where="SOURCE_DATE_EPOCH", mend="Give seconds since 1970, or unset it."
        ) from error
    return when.date().isoformat()


def _user() -> str:
    try:
        return getpass.getuser()
    except (OSError, KeyError, ImportError):  # no such user in this container
        return "researcher"
