"""The catalogues of messages: what the code says, and what each language has for it."""
