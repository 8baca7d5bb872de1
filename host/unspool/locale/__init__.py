"""Catalogues of messages, a language each."""
