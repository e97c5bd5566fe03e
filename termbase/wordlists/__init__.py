"""Cutting a word-list page into lines and parsing each by its source's line pattern. Pure: no store.

From the outside in: `pattern` (what can be set), `settings` (the same as TOML), `stock` (starting
patterns), `cutting` (a page to lines), `parsing` (a line to what it says; `senses`, `equivalents` and
`labels` read its parts), `layouts` and `laying` (the layout syntax), `wording` (all of it in words).
"""
