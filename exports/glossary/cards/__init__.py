"""Training cards: eight to an A4 sheet, fronts and backs, from the same articles as the book.

`publishing` turns the record into plain data and prints it with the typesetter of the printed book, using the
template `cards.typ`.
"""
