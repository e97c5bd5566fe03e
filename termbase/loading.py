"""Modules that are read when they are first used: a command waits only for the libraries that it needs.

Most libraries are imported at the head of a module, as usual. Late are those that take long to read and that
many commands never use: alembic, for one, takes as long as all of SQLAlchemy. The type checker sees an
ordinary import::

    if TYPE_CHECKING:
        from termbase.store import migrating
    else:
        migrating = late("termbase.store.migrating")
"""

import gc
import sys
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from importlib import import_module
from types import ModuleType

__all__ = ["late", "late_names", "without_collector"]


class _Late(ModuleType):
    """Stands for a module until one of its names is asked for."""

    def __getattr__(self, name: str) -> object:
        return getattr(import_module(self.__name__), name)


def late(name: str) -> ModuleType:
    """The module of this name, read when one of its names is first asked for.

    Args:
        name: its full name, as in `sys.modules`.
    """
    return _Late(name)


def late_names(package: str, *modules: str) -> Callable[[str], object]:
    """The `__getattr__` of a package that offers names of its modules and reads each when it is needed.

    Args:
        package: its full name; the names it offers are in its `__all__`.
        modules: modules of the package, the quickest to read first; the first that has a name gives it.
    """

    def get(name: str) -> object:
        home = sys.modules[package]
        if name in home.__all__:
            for module in (import_module(f"{package}.{within}") for within in modules):
                if hasattr(module, name):
                    setattr(home, name, getattr(module, name))
                    return getattr(module, name)
        raise AttributeError(f"module {package!r} has no attribute {name!r}")

    return get


@contextmanager
def without_collector() -> Iterator[None]:
    """Read modules without stops to collect garbage: what a module makes stays, so nothing would be found."""
    was_on = gc.isenabled()
    gc.disable()
    try:
        yield
    finally:
        if was_on:
            gc.freeze()
            gc.enable()
