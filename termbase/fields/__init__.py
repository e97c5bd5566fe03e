"""Field declarations, and the small values that fields hold: closed lists, and coded texts."""
