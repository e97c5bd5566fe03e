"""The record and all that is computed from it.

Nothing in this package knows the web, the command line, XML or PDF. Outside `termbase.store` nothing does
input or output (reading the package's own data files apart) and nothing asks the clock: dates are passed in.
"""
