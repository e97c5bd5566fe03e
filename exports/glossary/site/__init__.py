"""The glossary as a web site without a server: plain files that work from a memory stick and under any path.

`outline` reads what is chosen once, lightly, and knows where everything stands; `pages` words the pages from
it; `finding` makes what the search in the browser needs; `folder` puts the whole into place when it is whole;
`publishing` does it all. Pages point to each other by relative addresses and ask for nothing from elsewhere.
"""
