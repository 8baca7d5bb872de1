"""`python -m unspool`, where the command is not on the path."""

from unspool.cli import main

main()
