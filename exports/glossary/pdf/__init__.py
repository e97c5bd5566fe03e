"""The printed bilingual glossary, a PDF: `publishing` passes the book and `glossary.typ` to `typesetting`."""
