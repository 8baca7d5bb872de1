"""Opening a link again that failed."""

from __future__ import annotations

import threading
from collections.abc import Callable

from unspool.errors import LinkError
from unspool.finding import note
from unspool.instrument.codes import RecordCode
from unspool.instrument.link import Link, LinkEndedError
from unspool.instrument.record.notices import LinkChanged, Notice
from unspool.instrument.record.notify import link_failed

# Waits before trying a lost link again, the last one over and over: a cable that was knocked out
# comes back within seconds, and then every tenth counts.
RETRY_S = (*(0.1,) * 20, *(0.25,) * 20, 1.0)


def open_again(
    link: Link, known: str, stopping: threading.Event, notify: Callable[[Notice], None]
) -> bool:
    """Tries until it is open; False if the recording is stopped before.

    known: the reason that observers have already. Raises LinkEndedError.
    """
    waits = list(RETRY_S)
    while not stopping.wait(waits.pop(0) if len(waits) > 1 else waits[0]):
        try:
            link.open()
        except LinkEndedError:
            raise
        except LinkError as error:
            if str(error) != known and not stopping.is_set():
                known = str(error)
                notify(link_failed(error))
            continue
        notify(LinkChanged(True, note(RecordCode.LISTENING_AGAIN, link=link.place)))
        return True
    return False
