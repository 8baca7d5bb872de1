"""Runs a command line and returns its exit status.

0: done. 2: the input is at fault. 1: unspool itself is at fault. The user always gets a sentence on
standard error and never a traceback; a log file has what a developer needs.
"""

from __future__ import annotations

import errno
import os
import signal
import sys

import typer

from unspool.cli import commands, usage
from unspool.cli.crash_log import write_log
from unspool.cli.stopping import hide_interrupts
from unspool.cli.streams import prepare, to_stderr
from unspool.errors import UnspoolError

INTERRUPTED = 130  # what shells expect of a command that Ctrl-C ended
OUTPUT_FAILURES = (errno.ENOSPC, errno.EIO, errno.EBADF, errno.EFBIG)
# What a path that the user gave can run into, wherever in a command it is touched.
PATH_FAILURES = (
    *(errno.EACCES, errno.EPERM, errno.EROFS, errno.ENOSPC, errno.EDQUOT),
    *(errno.ENOTDIR, errno.EISDIR, errno.ENAMETOOLONG, errno.ELOOP),
)


def main(*, interruptible: bool = True) -> None:
    """The `unspool` command. interruptible: Ctrl-C ends it, as it does unless it is ignored."""
    try:
        if interruptible:
            signal.signal(signal.SIGINT, signal.default_int_handler)
        prepare()
        hide_interrupts()
        status = run(sys.argv[1:])
        if interruptible:  # what Python does when it ends is interrupted without a word
            signal.signal(signal.SIGINT, signal.SIG_DFL)
    except KeyboardInterrupt:
        status = INTERRUPTED
    sys.exit(status)


def run(arguments: list[str]) -> int:
    """Runs one command line and returns its exit status. Errors go to standard error."""
    try:
        status = _invoke(arguments)
        sys.stdout.flush()
    except UnspoolError as error:
        to_stderr(str(error))
        return error.exit_status
    except BrokenPipeError:
        _drop_output()
        return 0
    except KeyboardInterrupt:
        return INTERRUPTED
    except OSError as error:
        return _output_failed(error, arguments)
    except Exception as error:  # anything that is not an UnspoolError is our own fault
        to_stderr(write_log(error, arguments))
        return 1
    return status


def _invoke(arguments: list[str]) -> int:
    command = typer.main.get_command(commands.app)
    try:
        result = command.main(arguments, prog_name="unspool", standalone_mode=False)
    except typer.TyperException as error:
        to_stderr(usage.sentence(error))
        return 2
    except typer.Abort:
        return INTERRUPTED
    except SystemExit as left:
        # typer and rich turn a closed pipe into a SystemExit.
        if isinstance(left.__context__, BrokenPipeError):
            raise left.__context__ from None
        raise
    return result if isinstance(result, int) else 0


def _output_failed(error: OSError, arguments: list[str]) -> int:
    """An error of a file has the file's name; one of standard output has none."""
    if error.filename is not None and error.errno in PATH_FAILURES:
        to_stderr(f"{error.filename}: cannot be used ({error.strerror}); give another path")
        return 2
    if error.filename is None and error.errno in OUTPUT_FAILURES:
        _drop_output()
        to_stderr(f"standard output cannot be written ({error.strerror}); send it elsewhere")
        return 2
    to_stderr(write_log(error, arguments))
    return 1


def _drop_output() -> None:
    """Nobody reads any more. Without this the interpreter would complain when it exits."""
    nowhere = os.open(os.devnull, os.O_WRONLY)
    os.dup2(nowhere, sys.stdout.fileno())
