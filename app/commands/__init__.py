"""The commands of `wordhold`, one module for each part of the work."""
