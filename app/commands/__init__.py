"""The commands of `wordhold`, one module for each group of related commands."""
