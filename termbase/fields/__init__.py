"""How the fields of a record are declared, and the small values that they hold."""
