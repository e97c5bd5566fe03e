"""Read-only views of the record: an article with all that belongs to it, the matrix, the desk."""
