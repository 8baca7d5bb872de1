"""Catalogues of messages, a language each. English messages come in.

Their translations go out; `make catalogues` renews the files from the code.
"""
