"""The printed bilingual glossary, a PDF.

In the order in which a book is made: `choices` is the selection, `rendering` turns the record into a `Book`
(`book.py`: plain data, with all sentences worded by `wording` and `front`), `coverage` finds the characters
that no shipped font has, and `publishing` passes the book to `typesetting`, which sets it with the template
(`glossary.typ`), and moves the result to its place. The template adds no words of its own: those of the book
itself ("see", "also", "Caution.") are its `Words`.
"""
