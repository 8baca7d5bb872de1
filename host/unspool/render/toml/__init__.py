"""Calibrations and floors come in.

Lines for the files that people write go out: car files and track files.
"""
