"""Finding what is wrong or missing before publication."""
