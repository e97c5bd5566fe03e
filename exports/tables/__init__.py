"""Tables for spreadsheets: lists as they stand on a screen, as CSV."""
