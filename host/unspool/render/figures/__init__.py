"""Results as plotly figures: pure functions for pages, files and notebooks."""
