"""What is found of a board, its link and a recording, in sentences."""

from __future__ import annotations

from unspool.instrument.codes import RecordCode
from unspool.instrument.strangers import Stranger, sentence_of
from unspool.language import _, later, many
from unspool.reading.edges.ending import Ending
from unspool.render.words.values import Text, Values, as_sentence, joined, number, shown

_RESTARTS = {
    "power_on": later(
        "The board started again because its power was off: look at battery, switch and plugs."
    ),
    "brown_out": later(
        "The board started again because its supply fell too low: charge or change the battery."
    ),
    "watchdog": later(
        "The board was started again by its watchdog, because its program hung: please report it."
    ),
    "external": later(
        "The board was started again by its reset button, or by a program that opened its port."
    ),
}
_NO_REASON = later("The board started again, and its boot loader does not say why.")
_RESTARTS_BEFORE = {
    "brown_out": later(
        "The board's supply fell too low before this session, and it started again: charge or"
        " change the battery."
    ),
    "watchdog": later(
        "The board's program hung before this session, and its watchdog started it again: please"
        " report it."
    ),
}

# From memory, common practice: signal at which Bluetooth Low Energy modules of 1 mW still work.
STRONG_DBM, FAIR_DBM = -70, -85

ENDINGS = {
    Ending.BOARD_RESTARTED: later("The board restarted during the attempt. The edges end there."),
    Ending.RECORDING_STOPPED: later("The recording was stopped before the car stood still."),
    Ending.EDGES_LOST: later("The last edges of the attempt were lost on the board."),
}


def board_name(board: int) -> str:
    """board: its number for life."""
    return _("Board {number}", number=format(board, "08x"))


def signal_words(dbm: int) -> str:
    """How well a radio is heard: strong, fair or weak."""
    if dbm >= STRONG_DBM:
        return "strong"
    return "fair" if dbm >= FAIR_DBM else "weak"


def _board_restarted(v: Values) -> str:
    gone = _("The edges that it held and no record has are gone.")
    return joined(_(_RESTARTS.get(str(v["cause"]), _NO_REASON)), gone)


def _board_reset(v: Values) -> str:
    kept = _("It kept its edges, but counted none meanwhile.")
    return joined(_(_RESTARTS.get(str(v["cause"]), _NO_REASON)), kept)


def _no_board_answers(v: Values) -> str:
    return as_sentence(sentence_of(Stranger(str(v["there"])), str(v["link"])))


def _edges_do_not_arrive(v: Values) -> str:
    counts = many(
        "The board counts {count} edge more than {link} brings.",
        "The board counts {count} edges more than {link} brings.",
        number(v, "edges"),
        link=v["link"],
    )
    return joined(
        counts,
        _(
            "Check plugs and cable, and keep them away from motors; over a radio, go nearer. The"
            " board keeps what it can."
        ),
    )


def _board_silent(v: Values) -> str:
    return _(
        "Nothing of the board on {link} can be read any more. Check its power, its plugs and"
        " what disturbs the line. The recording goes on as soon as the board is heard.",
        link=v["link"],
    )


def _battery_low(v: Values) -> str:
    return _(
        "The battery is low: {volts}. Charge or change it before the next attempt: a board whose"
        " supply fails forgets what it holds.",
        volts=shown(v, "battery_v"),
    )


def _edges_lost(v: Values) -> str:
    return many(
        "{count} edge was lost on the board: the record has a gap.",
        "{count} edges were lost on the board: the record has a gap.",
        number(v, "edges"),
    )


def _capture_set_aside(v: Values) -> str:
    return _(
        "Capture {capture} cannot be read again ({reason}). It stays in the store. The recording"
        " goes on in a new one.",
        capture=v["capture"],
        reason=v["reason"],
    )


def _observer_failed(v: Values) -> str:
    return _(
        "{observer} failed ({reason}) and shows nothing more. The recording goes on. Please report"
        " it.",
        observer=v["observer"],
        reason=v["reason"],
    )


def _store_waits(v: Values) -> str:
    waits = _(
        "The recording waits until the store can be written; the board keeps its edges meanwhile."
    )
    return joined(as_sentence(str(v["reason"])), waits)


TEXTS: dict[str, Text] = {
    RecordCode.LISTENING: lambda v: _("Listening on {link}.", link=v["link"]),
    RecordCode.LISTENING_AGAIN: lambda v: _("Listening on {link} again.", link=v["link"]),
    RecordCode.LINK_FAILED: lambda v: as_sentence(str(v["reason"])),
    RecordCode.NO_BOARD_ANSWERS: _no_board_answers,
    RecordCode.BOARD_RESTARTED: _board_restarted,
    RecordCode.BOARD_RESET: _board_reset,
    RecordCode.BOARD_RESTARTED_BEFORE: lambda v: _(_RESTARTS_BEFORE[str(v["cause"])]),
    RecordCode.BATTERY_LOW: _battery_low,
    RecordCode.CAPTURE_SET_ASIDE: _capture_set_aside,
    RecordCode.STORE_WAITS: _store_waits,
    RecordCode.STORE_WRITES_AGAIN: lambda v: _(
        "The store can be written again. The recording goes on."
    ),
    RecordCode.OBSERVER_FAILED: _observer_failed,
    RecordCode.EDGES_DO_NOT_ARRIVE: _edges_do_not_arrive,
    RecordCode.EDGES_ARRIVE_AGAIN: lambda v: _(
        "All edges arrive over {link} again.", link=v["link"]
    ),
    RecordCode.BOARD_SILENT: _board_silent,
    RecordCode.EDGES_LOST_ON_BOARD: _edges_lost,
}
