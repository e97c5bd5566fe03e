"""Sources for and from programs that keep references (CSL-JSON, BibTeX, RIS), and in a citation style."""
