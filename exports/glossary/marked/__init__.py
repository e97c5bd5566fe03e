"""The book's articles as markup, shared by the web site and the EPUB.

The output of the templates is both HTML and well-formed XML (polyglot markup).
"""
