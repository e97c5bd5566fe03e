"""The database of a termbase: engine, tables, migrations, history.

It is the only package of `termbase` that does input and output.
"""
