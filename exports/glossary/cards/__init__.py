"""Training cards: eight to an A4 sheet, fronts and backs, from the same articles as the book.

`deck` turns the record into plain data, `cards.typ` lays it out, and `publishing` prints it with the
typesetter of the printed book.
"""
