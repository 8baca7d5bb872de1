"""Reading one run: the edges of its encoder wheel and its car come in.

A Reading goes out: motion, events, findings and energy, each number with its uncertainty.
"""
