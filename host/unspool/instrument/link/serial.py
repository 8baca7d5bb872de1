"""A board on a serial port."""

from __future__ import annotations

import contextlib
import errno
import sys
import time
from collections.abc import Callable, Iterator
from typing import TYPE_CHECKING

from unspool.errors import InputError, LinkError
from unspool.instrument.link.base import Link
from unspool.instrument.link.moved_port import UsbPort, moved_to, usb_port
from unspool.instrument.link.rates import RateFinder
from unspool.language import Phrase

if TYPE_CHECKING:
    from serial import Serial

# The rest of a frame follows its first byte within about this time at 115,200 baud; one wait
# here saves the recorder a disk sync for every few bytes.
GATHER_S = 0.003
WRITE_TIMEOUT_S = 1.0
# A program that was killed may keep its port for a moment longer than itself.
TRIES, LOOK_S = 4, 0.1


class SerialLink(Link):
    """`port` is the system's name for it, as in /dev/ttyUSB0 or COM3.

    If its USB device comes back under another name, it is opened there, unless another program has
    it; `spec` is then that name.
    """

    lasting = True

    def __init__(self, port: str) -> None:
        self.spec = f"serial:{port}"
        self._port = port
        self._rates = RateFinder()
        self._serial: Serial | None = None
        self._usb: UsbPort | None = None

    def open(self) -> None:
        from serial.tools.list_ports import comports

        self.close()
        try:
            self._open(self._port)
        except LinkError:
            names = moved_to(self._port, self._usb, comports()) if self._usb else []
            if not any(self._opens(name) for name in names):
                raise
        else:
            self._usb = usb_port(self._port, comports())

    def _opens(self, port: str) -> bool:
        try:
            self._open(port)
        except LinkError:  # another program has it, or it is not ready yet
            return False
        self._port, self.spec = port, f"serial:{port}"
        return True

    def _open(self, port: str) -> None:
        for left in reversed(range(TRIES)):
            try:
                opened = _exclusive(port, self._rates.rate)
                break
            except (OSError, ValueError) as error:
                if not left or not _is_in_use(error):
                    raise LinkError(_why_not(port, error)) from error
            time.sleep(LOOK_S)
        _keep_dtr_on_close(opened)
        self._serial = opened
        self._rates.begin()

    @property
    def baud(self) -> int:
        """The board's once it has been heard."""
        return self._rates.rate

    def read(self, timeout_s: float) -> bytes:
        port = self._opened()
        with _vanishing(self._port):
            if port.timeout != timeout_s:
                port.timeout = timeout_s
            data = port.read(1)
            if data:
                time.sleep(GATHER_S)
                data += port.read(port.in_waiting)
            if self._rates.heard(data):
                port.baudrate = self._rates.rate
            return data

    def write(self, data: bytes) -> None:
        with _vanishing(self._port):
            self._opened().write(data)

    def close(self) -> None:
        port, self._serial = self._serial, None
        if port is not None:
            # a port whose device is gone may refuse even this
            with contextlib.suppress(OSError):
                port.close()

    def _opened(self) -> Serial:
        if self._serial is None:
            raise LinkError(Phrase("the port {port} is not open", port=self._port))
        return self._serial


class FoundSerialLink(SerialLink):
    """The port that `find` names, looked for at each opening: a plug may come back as another.

    find: raises LinkError or InputError if it finds none, or more than one.
    """

    def __init__(self, find: Callable[[], str]) -> None:
        super().__init__(find())
        self._find = find

    def open(self) -> None:
        """The device that it was, or else the one that could be a board now."""
        if self._usb is not None:
            with contextlib.suppress(LinkError):
                super().open()
                return
        self.close()
        try:
            self._port = self._find()
        except InputError as error:
            raise LinkError(error.sentence) from error
        self.spec = f"serial:{self._port}"
        super().open()


@contextlib.contextmanager
def _vanishing(port: str) -> Iterator[None]:
    """Turns a port's failure in use into one sentence."""
    try:
        yield
    except OSError as error:  # pyserial's own exceptions are OSErrors too
        raise LinkError(
            Phrase(
                "the board on {port} is gone; check the cable and the board's power, the edges wait"
                " on the board meanwhile",
                port=port,
            )
        ) from error


def _can_lock() -> bool | None:
    """Windows opens every port exclusively by itself, and pyserial refuses the option there."""
    return None if sys.platform == "win32" else True


def _keep_dtr_on_close(port: Serial) -> None:
    """Stops the system from dropping DTR when the port closes.

    On common boards a rising DTR resets the processor. Left up, it does not rise again at the
    next opening, and the edges that wait on the board survive a restart of the host.
    """
    with contextlib.suppress(ImportError, OSError):
        import termios

        with contextlib.suppress(termios.error):
            settings = termios.tcgetattr(port.fileno())
            settings[2] &= ~termios.HUPCL
            termios.tcsetattr(port.fileno(), termios.TCSANOW, settings)


def _exclusive(port: str, rate: int) -> Serial:
    """The opened port; a second program on the same board would eat half of its bytes."""
    import serial  # costs time that other links need not pay

    made = serial.Serial(None, rate, write_timeout=WRITE_TIMEOUT_S, exclusive=_can_lock())
    made.port = port
    if sys.platform == "win32":
        made.dtr = False  # else it rises and resets the board; elsewhere it always does
    made.open()
    return made


def _is_in_use(error: Exception) -> bool:
    text = str(error)
    windows_busy = sys.platform == "win32" and "PermissionError" in text
    busy = getattr(error, "errno", None) in (errno.EBUSY, errno.EWOULDBLOCK)
    return busy or "exclusively lock" in text or windows_busy


def _why_not(port: str, error: Exception) -> Phrase:
    code = getattr(error, "errno", None)
    text = str(error)
    if code == errno.ENOENT or "FileNotFoundError" in text:
        return Phrase(
            "there is no port {port}; plug the board in, and see `unspool links` for the ports",
            port=port,
        )
    if _is_in_use(error):
        return Phrase(
            "the port {port} is in use by another program; close that one first", port=port
        )
    if code in (errno.EACCES, errno.EPERM):
        return Phrase(
            "this user may not open {port}; on Linux, `sudo usermod -aG dialout $USER` and a new"
            " login give the right (some systems call the group uucp)",
            port=port,
        )
    return Phrase("{port} cannot be opened as a serial port ({reason})", port=port, reason=text)
