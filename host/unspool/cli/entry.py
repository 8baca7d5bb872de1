"""From the shell to a command and back to an exit status.

0 done, 2 the input is at fault, 1 unspool itself is. Whatever happens, the user gets sentences on
standard error and never a traceback; what a developer needs goes to a log file.
"""

from __future__ import annotations

import errno
import os
import sys

import typer

from unspool.cli import commands, usage
from unspool.cli.crash_log import write_log
from unspool.cli.streams import prepare, tell
from unspool.errors import UnspoolError

INTERRUPTED = 130  # what shells expect of a command that Ctrl-C ended
OUTPUT_FAILURES = (errno.ENOSPC, errno.EIO, errno.EBADF, errno.EFBIG)


def main() -> None:
    """The `unspool` command."""
    prepare()
    sys.exit(run(sys.argv[1:]))


def run(arguments: list[str]) -> int:
    """Runs one command line and returns its exit status; says on standard error what went wrong."""
    try:
        status = _invoke(arguments)
        sys.stdout.flush()
    except UnspoolError as error:
        tell(str(error))
        return error.exit_status
    except BrokenPipeError:
        _drop_output()
        return 0
    except KeyboardInterrupt:
        return INTERRUPTED
    except OSError as error:
        return _output_failed(error, arguments)
    except Exception as error:  # the last net: whatever was not foreseen is our fault, and said so
        tell(write_log(error, arguments))
        return 1
    return status


def _invoke(arguments: list[str]) -> int:
    command = typer.main.get_command(commands.app)
    try:
        result = command.main(arguments, prog_name="unspool", standalone_mode=False)
    except typer.TyperException as error:
        tell(usage.sentence(error))
        return 2
    except typer.Abort:
        return INTERRUPTED
    except SystemExit as left:
        # typer and rich turn a closed pipe into an exit of their own.
        if isinstance(left.__context__, BrokenPipeError):
            raise left.__context__ from None
        raise
    return result if isinstance(result, int) else 0


def _output_failed(error: OSError, arguments: list[str]) -> int:
    """Files name themselves in their errors; an output stream that fails has no name."""
    if error.filename is None and error.errno in OUTPUT_FAILURES:
        _drop_output()
        tell(f"standard output cannot be written ({error.strerror}); send it elsewhere")
        return 2
    tell(write_log(error, arguments))
    return 1


def _drop_output() -> None:
    """Nobody reads any more: keeps the interpreter from complaining about it when it leaves."""
    nowhere = os.open(os.devnull, os.O_WRONLY)
    os.dup2(nowhere, sys.stdout.fileno())
