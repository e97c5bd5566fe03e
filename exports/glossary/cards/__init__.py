"""Cards for training: eight to an A4 sheet, fronts and backs, from the same articles as the book.

`deck` turns the record into plain data, `cards.typ` sets it, `publishing` prints it through the print room's
typesetter.
"""
