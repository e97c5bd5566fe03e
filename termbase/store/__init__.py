"""Engine, tables, migrations, history: the only part of the record that does input and output."""

from termbase.store.engine import Store
from termbase.store.reading import ActRecord, ChangeRecord, Reader
from termbase.store.writing import Act

__all__ = ["Act", "ActRecord", "ChangeRecord", "Reader", "Store"]
