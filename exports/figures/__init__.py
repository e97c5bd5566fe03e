"""Figures drawn from the record, for screen and print: pure functions from records to SVG."""
