"""Results as the JSON objects that other programs read; docs/formats.md lists their keys."""
