"""The glossary as an EPUB 3 book, from the same `Book` as the printed one.

`publishing` divides the book into documents small enough for readers to open at once, and writes them, with
the package that lists them, into one reproducible file.
"""
