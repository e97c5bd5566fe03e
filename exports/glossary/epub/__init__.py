"""The glossary as an EPUB 3 book, from the same `Book` as the printed one.

`contents` divides the book into documents small enough for readers to open at once, and knows which document
contains each article; `publishing` writes them, with the package that lists them, into one reproducible file.
"""
