"""Dates of sources and events: EDTF, and how a date reads in words."""
