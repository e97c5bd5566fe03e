"""The published glossary: the printed book (`print`)."""
