"""The codes that the record stores instead of sentences, each with its sentence."""
