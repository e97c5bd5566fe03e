"""The printed bilingual glossary, a PDF.

In the order in which a book is made: `choices` says what goes in, `rendering` turns the record into a `Book`
(`book.py`: plain data, every sentence already worded by `wording` and `front`), `coverage` names the
characters that no shipped face has, and `publishing` hands book and template (`glossary.typ`) to the
typesetter. The template sets what it is given and words nothing itself.
"""
