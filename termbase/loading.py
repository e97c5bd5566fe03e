"""Lazy imports: modules are loaded on first use, so a command waits only for the libraries it needs.

Most libraries are imported at the top of a module, as usual. Only those that load slowly and that many
commands never use are lazy: alembic, for example, takes as long as all of SQLAlchemy. The type checker sees
an ordinary import::

    if TYPE_CHECKING:
        from termbase.store import migrating
    else:
        migrating = lazy_module("termbase.store.migrating")
"""

import gc
import sys
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from importlib import import_module
from types import ModuleType

__all__ = ["lazy_module", "lazy_names", "without_collector"]


class _LazyModule(ModuleType):
    """A placeholder for a module until one of its names is used."""

    def __getattr__(self, name: str) -> object:
        return getattr(import_module(self.__name__), name)


def lazy_module(name: str) -> ModuleType:
    """Return the module with this name, loaded when one of its names is first used.

    Args:
        name: its full name, as in `sys.modules`.
    """
    return _LazyModule(name)


def lazy_names(package: str, *modules: str) -> Callable[[str], object]:
    """Return a `__getattr__` for a package that exports names from its modules and loads each when needed.

    Args:
        package: its full name; the exported names are in its `__all__`.
        modules: modules of the package, the fastest to load first; the first one with the name is used.
    """

    def get(name: str) -> object:
        module_of_package = sys.modules[package]
        if name in module_of_package.__all__:
            for module in (import_module(f"{package}.{within}") for within in modules):
                if hasattr(module, name):
                    setattr(module_of_package, name, getattr(module, name))
                    return getattr(module, name)
        raise AttributeError(f"module {package!r} has no attribute {name!r}")

    return get


@contextmanager
def without_collector() -> Iterator[None]:
    """Import modules without garbage collection: what a module creates stays alive, so nothing would be
    freed."""
    was_on = gc.isenabled()
    gc.disable()
    try:
        yield
    finally:
        if was_on:
            gc.freeze()
            gc.enable()
