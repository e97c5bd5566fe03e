"""Checks whether a file of another system follows the standard (ISO 30042:2019); reports each breach with
line and rule.

`core` is the table of the core elements, `checking` checks pieces of a file against it and against the data
categories of the dialect, `breaches` collects the results. `exports.tbx.validating` checks our own files,
which use only a part of the standard, before they are given out.
"""
