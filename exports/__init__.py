"""Exports and imports: one package per file format. Imports `termbase`, never `app`."""
