"""The glossary as a web site without a server: plain files that work from a memory stick and at any address.

`outline` reads the selection once, in little memory, and knows the place of everything; `pages` builds the
pages from it; `search` makes the data for the search in the browser; `publishing` runs all this and moves the
finished site to its place. Pages link to each other by relative addresses and load nothing from
elsewhere.
"""
