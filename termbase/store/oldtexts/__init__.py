"""Texts that earlier versions stored as English sentences, parsed into codes with values.

Frozen: migrations and old backups need the old sentences, so nothing here changes with the program. The
results are plain JSON; nothing here uses the current record classes.
"""
