"""Results as pages of plain text for a terminal."""
