"""The database of a termbase: engine, tables, migrations, history. Only this package of the record does input
and output."""

from termbase.store.actrows import ActRecord
from termbase.store.engine import Store
from termbase.store.reading import ChangeRecord, Reader
from termbase.store.writing import Act

__all__ = ["Act", "ActRecord", "ChangeRecord", "Reader", "Store"]
