"""Finding: names by form, spelling, mutation, old print and nearness; entries that resemble a line.

`finding` answers what somebody asks for, `completing` what somebody is typing, `calling` tells the one entry
that somebody means, `filtering` narrows a list, `texts` finds by words of definitions and notes, `likeness`
compares a line of a word-list with the record. All read through a `Reader`; nothing is written.
"""
