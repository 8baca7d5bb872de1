"""The winding card. A card's values come in.

One sheet for the trackside goes out, as PDF and as HTML.
"""
