"""Exchange: one room per file format. Imports the record, never a face."""
