"""The virtual car and board, in our own invented scenario."""
