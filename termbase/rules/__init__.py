"""Rule codes: their clauses, what each says in plain words, and whether they contradict each other."""
