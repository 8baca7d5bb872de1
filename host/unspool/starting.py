"""The command's first lines: Ctrl-C while Python imports the rest ends it without a word.

So nothing is imported here that takes time.
"""

import signal


def main() -> None:
    """The `unspool` command."""
    asked = signal.getsignal(signal.SIGINT) is signal.default_int_handler
    if asked:  # it is ignored in a job in the background, and stays so
        signal.signal(signal.SIGINT, signal.SIG_DFL)
    from unspool.cli import main as command

    command(interruptible=asked)
