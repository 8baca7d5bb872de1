"""The board and the ways to it: a board's bytes come in, over a cable, a radio or from a capture.

Recorded runs go out into the store, and what happens meanwhile goes out as notices.
"""
