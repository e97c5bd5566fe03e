"""The database of a termbase: engine, tables, migrations, history. Only this package of the record does input
and output."""
