"""Results come in.

The JSON objects that other programs read go out; docs/formats.md lists their keys.
"""
