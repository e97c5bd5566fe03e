"""The codes that the record keeps instead of sentences, and what each says."""
