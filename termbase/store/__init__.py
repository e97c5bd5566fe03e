"""Engine, tables, migrations, history: the only part of the record that does input and output."""

from termbase.store.actrows import ActRecord
from termbase.store.engine import Store
from termbase.store.reading import ChangeRecord, Reader
from termbase.store.writing import Act

__all__ = ["Act", "ActRecord", "ChangeRecord", "Reader", "Store"]
