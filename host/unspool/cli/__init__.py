"""The commands. A command line comes in.

Text, one JSON object or a file goes out, and an exit status.
"""

from unspool.cli.entry import main

__all__ = ["main"]
