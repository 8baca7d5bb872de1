"""Results as lines of the files that people write: car files and track files."""
