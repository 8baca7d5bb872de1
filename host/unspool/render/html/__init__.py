"""Results come in.

Self-contained HTML pages go out.
"""
