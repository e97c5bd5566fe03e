"""The glossary as an EPUB 3 book, from the same `Book` as the printed one.

`contents` cuts the book into documents of a size that readers open at once and knows in which each article
stands; `publishing` writes them, with the package that lists them, into one reproducible file.
"""
