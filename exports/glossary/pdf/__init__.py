"""The printed glossary as PDF."""
