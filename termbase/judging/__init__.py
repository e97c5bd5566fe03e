"""Judge a technique under a rule code. Pure functions: the same inputs give the same verdict and sentences.

Use `judge` for one profile under one code, `judge_many` for a matrix, `smallest_change` for the smallest edit
that would change a verdict, and `to_words` for the words.
"""
