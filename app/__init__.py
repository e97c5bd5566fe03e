"""The two faces over the record: the web (Flask) and the command line (click)."""
