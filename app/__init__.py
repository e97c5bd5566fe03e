"""The user interfaces: the web app (Flask) and the command line (click)."""
