"""Linked data: SKOS with SKOS-XL labels and PROV, as Turtle or JSON-LD."""
