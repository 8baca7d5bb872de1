"""Parts to cut or print. A part's name and the car's measures come in.

The part's panels and notes go out.
"""
