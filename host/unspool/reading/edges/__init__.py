"""Edges of one run, and the files they come in."""
