"""Cars and boards that exist only here: a car, a track and a seed come in.

Edges with their true answers, or a board behind a link, go out.
"""
