"""Texts that earlier versions kept as English sentences, read into codes with values.

Frozen: migrations and old backups need them as they were, so nothing here follows the program. They give what
is kept as plain JSON, and know none of the records of today.
"""
