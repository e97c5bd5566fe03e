"""What all commands share: the options --db, --as and --json, errors, progress bars, JSON output, and looking
up entries by id or by any form of a name.
"""

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

from termbase.codes.wording import statement_text_in_english
from termbase.errors import BadInput, WordholdError
from termbase.fields.notes import CodedText
from termbase.loading import lazy_module
from termbase.messages import plain_str
from termbase.record.lines import Printed, path_said
from termbase.store.engine import Store

__all__ = [
    "Command",
    "JsonOption",
    "as_json_option",
    "db_option",
    "default_place",
    "opened",
    "person_option",
    "print_json",
    "progress",
    "today",
]


if TYPE_CHECKING:
    import tqdm
else:
    tqdm = lazy_module("tqdm")


P = ParamSpec("P")
R = TypeVar("R")
BAD_INPUT = 2


class Seen(Protocol):
    """A callback that receives how many are done, and of how many (0 if unknown)."""

    def __call__(self, done: int, total: int = 0) -> None: ...


class Command(click.Command):
    """A command that reports errors as one clear message and exits with status 2."""

    def invoke(self, ctx: click.Context) -> object:
        """Run the command."""
        try:
            return super().invoke(ctx)
        except WordholdError as error:
            _refuse(error.what, error.where, error.fix)
        except UnicodeDecodeError as error:
            byte = f"Byte {error.start + 1} of the text is not UTF-8."
            _refuse(byte, self.name or "", "Save the file as UTF-8 first.")
        except UnicodeEncodeError as error:
            _refuse(
                "The input contains bytes that are not text.",
                ascii(error.object[:40]),
                "Type it again in UTF-8.",
            )
        except BrokenPipeError:  # the reader (head, less) has closed the pipe; click exits quietly
            raise
        except OSError as error:
            if error.errno in (errno.ENOSPC, errno.EDQUOT):
                _refuse("The disk is full.", str(error.filename or ""), "Free some disk space and try again.")
            _refuse(
                error.strerror or str(error), str(error.filename or ""), "Check the path and the permissions."
            )


def _refuse(what: str, where: str, fix: str) -> NoReturn:
    place = f"{where}: " if where else ""
    click.echo(f"wordhold: {place}{what}", err=True)
    if fix:
        click.echo(f"  {fix}", err=True)
    sys.exit(BAD_INPUT)


def default_place() -> str:
    """Return the path of the default termbase, in the user's data folder."""
    return str(user_data_path("wordhold") / "termbase.sqlite")


def db_option(command: Callable[P, R]) -> Callable[P, R]:
    """Add `--db PATH_OR_URL`; the default is WORDHOLD_DB, then a file in the user's data folder."""
    return click.option(
        "--db",
        metavar="PATH_OR_URL",
        envvar="WORDHOLD_DB",
        default=default_place,
        show_default="WORDHOLD_DB, or a file in your data folder",
        help="Termbase: a file, or postgresql://...",
    )(command)


def person_option(command: Callable[P, R]) -> Callable[P, R]:
    """Add `--as NAME`: the name that the history records for the change."""
    return click.option(
        "--as", "by", metavar="NAME", envvar="WORDHOLD_PERSON", default=_user, callback=_named,
        show_default="WORDHOLD_PERSON, or your user name",
        help="Name to record in the history.",
    )(command)  # fmt: skip


def _named(_: click.Context, __: click.Parameter, name: str) -> str:
    cleaned = " ".join(name.split())
    if not cleaned:
        raise click.BadParameter("the name must not be empty")
    return cleaned


class JsonOption(click.Option):
    """`--json`. `document` is the TypedDict that the command prints; None where it writes an output."""

    document: type | None = None


def as_json_option(document: type | None = None) -> Callable[[Callable[P, R]], Callable[P, R]]:
    """Add `--json`: print one JSON document of this type, and nothing else, on standard output."""
    option = type("JsonOption", (JsonOption,), {"document": document})
    text = "Print one JSON document (see app/REFERENCE.md)."
    return click.option("--json", "as_json", cls=option, is_flag=True, help=text)


@contextmanager
def opened(db: str, *, thorough: bool = False) -> Iterator[Store]:
    """Open a termbase and close it at the end; `thorough` checks it for damage whatever its size."""
    store = Store.open(db, thorough=thorough)
    try:
        yield store
    finally:
        store.close()


def print_json(name: str, **content: object) -> None:
    """Print the JSON document `{"wordhold": name, ...}` in UTF-8."""
    document = {"wordhold": name, **{field: _whole(value) for field, value in content.items()}}
    click.echo(msgspec.json.format(msgspec.json.encode(document, enc_hook=plain_str), indent=2).decode())


def _whole(value: object) -> object:
    """Return the value with every field of its records filled in.

    Stored records leave out fields that have their default, and so would msgspec. Stored codes become English
    sentences, and a part of a line gets its name."""
    if isinstance(value, CodedText):
        return statement_text_in_english(value)
    if isinstance(value, Printed):
        return {"part": str(path_said(value.part)), "text": value.text, "why": value.why}
    if is_dataclass(value) and not isinstance(value, type):
        return {field.name: _whole(getattr(value, field.name)) for field in fields(value)}
    if isinstance(value, Mapping):
        return {key: _whole(item) for key, item in value.items()}
    if isinstance(value, (tuple, list)):
        return [_whole(item) for item in value]
    return value


@contextmanager
def progress(title: str) -> Iterator[Seen]:
    """Show a progress bar on standard error; yield the callback that moves it."""
    with tqdm.tqdm(desc=title, file=sys.stderr, leave=False, disable=None, unit="") as bar:

        def seen(done: int, total: int = 0) -> None:
            bar.total = total or None
            bar.n = done
            bar.refresh()

        yield seen


def today() -> str:
    """Return today's ISO date, or that of SOURCE_DATE_EPOCH, so that builds can be reproduced.

    Raises:
        BadInput: SOURCE_DATE_EPOCH is not a number of seconds.
    """
    epoch = os.environ.get("SOURCE_DATE_EPOCH")
    try:
        when = datetime.fromtimestamp(int(epoch), UTC) if epoch else datetime.now(UTC)
    except (ValueError, OverflowError, OSError) as error:
        raise BadInput(
            f"{epoch!r} is not a date.",
            where="SOURCE_DATE_EPOCH",
            fix="Give seconds since 1970, or unset it.",
        ) from error
    return when.date().isoformat()


def _user() -> str:
    try:
        return getpass.getuser()
    except (OSError, KeyError, ImportError):  # the user id has no name, as in some containers
        return "researcher"
