"""Pictures from outside: measured, turned upright, scaled, freed of place and camera data."""
