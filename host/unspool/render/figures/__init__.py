"""Results come in.

Plotly figures go out, for pages, files and notebooks.
"""
