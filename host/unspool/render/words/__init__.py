"""Findings and numbers come in.

Sentences and table rows go out, for pages, files and the terminal alike.
"""
