"""The glossary as a book: the data that the PDF, the e-book, the cards and the site are made from.

`book` has the selection of what goes in, and the book itself as plain data. `assembling` turns the record
into a `Book`; `articles`, `rules`, `pictures`, `front` and `wording` make its parts and word its sentences.
`coverage` finds the characters that no shipped font has; `proofing` reports what to fix before printing.
Templates add no words of their own: those of the book itself ("see", "also", "Caution.") are its `Words`.
"""
