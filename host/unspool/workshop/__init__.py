"""Parts as drawings: encoder discs."""
