"""Ways to reach a board: serial, a replayed capture, the virtual car."""

from unspool.link.base import Link, LinkEndedError
from unspool.link.ports import SerialPort, list_ports
from unspool.link.recording import RecordingLink
from unspool.link.spec import open_spec

__all__ = ["Link", "LinkEndedError", "RecordingLink", "SerialPort", "list_ports", "open_spec"]
