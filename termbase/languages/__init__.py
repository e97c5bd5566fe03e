"""What the program knows of languages: alphabets, initial mutations, old print, keys for finding.

One data file a language and the code that reads all of them; README.md here documents the format. Import from
the modules by name: `alphabets`, `folding`, `mutations`, `keys`, `headwords`, `files`, `checking`.
"""
