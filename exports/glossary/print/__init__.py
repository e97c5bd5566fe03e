"""The printed bilingual glossary, a PDF.

In the order in which a book is made: `choices` says what goes in, `rendering` turns the record into a `Book`
(`book.py`: plain data, every sentence already worded by `wording` and `front`), `coverage` names the
characters that no shipped face has, and `publishing` hands the book to `typesetting`, which sets it by the
template (`glossary.typ`), and moves the result into place. The template sets what it is given and words
nothing of its own: what the book itself says ("see", "also", "Caution.") are the `Words` of the book.
"""
