"""The winding card: one sheet for the trackside, on paper and on a screen."""
