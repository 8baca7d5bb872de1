"""The commands; each a thin call into the packages beside this file."""
