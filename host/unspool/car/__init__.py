"""Car, drum and track: validated descriptions, read from TOML."""
