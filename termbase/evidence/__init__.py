"""What proves that a name was used, and how well: witnesses and the scales they lead to."""
