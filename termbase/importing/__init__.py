"""Importing records from elsewhere, in any format.

From the outside in: `pieces` (what a file provides), `matching` (what is already known here, and the ids to
use), `planning` (what would be new, the same or changed), `taking` (the import itself, in one act).
"""
