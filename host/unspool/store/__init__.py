"""Runs, captures and cars, kept in a database."""
