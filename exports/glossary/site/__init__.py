"""The glossary as a web site without a server: plain files that work from a memory stick and at any address.

`outline` reads the selection once, in little memory, and knows the place of everything; `pages` words the
pages from it; `finding` makes the data for the search in the browser; `folder` moves the finished site to its
place; `publishing` runs all this. Pages link to each other by relative addresses and load nothing from
elsewhere.
"""
