"""The records: what is kept, field by field; how they are cleaned, merged and compared."""
