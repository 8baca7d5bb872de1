"""Results come in.

Pages of plain text for a terminal go out.
"""
