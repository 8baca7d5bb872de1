"""What is found of a board, its link and a recording, in sentences."""

from __future__ import annotations

from unspool.instrument.codes import RecordCode
from unspool.instrument.strangers import Stranger, sentence_of
from unspool.reading.edges.ending import Ending
from unspool.render.words.values import Text, Values, as_sentence, counted, number, shown

_RESTARTS = {
    "power_on": "because its power was off: look at battery, switch and plugs.",
    "brown_out": "because its supply fell too low: charge or change the battery.",
    "watchdog": "by its watchdog, because its program hung: please report it.",
    "external": "by its reset button, or by a program that opened its port.",
}
_RESTARTS_BEFORE = {
    "brown_out": (
        "The board's supply fell too low before this session, and it started again: charge or"
        " change the battery."
    ),
    "watchdog": (
        "The board's program hung before this session, and its watchdog started it again: please"
        " report it."
    ),
}

# From memory, common practice: signal at which Bluetooth Low Energy modules of 1 mW still work.
STRONG_DBM, FAIR_DBM = -70, -85

ENDINGS = {
    Ending.BOARD_RESTARTED: "The board restarted during the attempt. The edges end there.",
    Ending.RECORDING_STOPPED: "The recording was stopped before the car stood still.",
    Ending.EDGES_LOST: "The last edges of the attempt were lost on the board.",
}


def board_name(board: int) -> str:
    """board: its number for life."""
    return f"Board {board:08x}"


def signal_words(dbm: int) -> str:
    """How well a radio is heard: strong, fair or weak."""
    if dbm >= STRONG_DBM:
        return "strong"
    return "fair" if dbm >= FAIR_DBM else "weak"


def _board_restarted(v: Values) -> str:
    how = _RESTARTS.get(str(v["cause"]), "and its boot loader does not say why.")
    return f"The board started again {how} The edges that it held and no record has are gone."


def _board_reset(v: Values) -> str:
    how = _RESTARTS.get(str(v["cause"]), "and its boot loader does not say why.")
    return f"The board started again {how} It kept its edges, but counted none meanwhile."


def _no_board_answers(v: Values) -> str:
    return as_sentence(sentence_of(Stranger(str(v["there"])), str(v["link"])))


def _edges_do_not_arrive(v: Values) -> str:
    edges = counted(number(v, "edges"), "edge")
    return (
        f"The board counts {edges} more than {v['link']} brings. Check plugs and cable, and keep"
        " them away from motors; over a radio, go nearer. The board keeps what it can."
    )


def _board_silent(v: Values) -> str:
    return (
        f"Nothing of the board on {v['link']} can be read any more. Check its power, its plugs and"
        " what disturbs the line. The recording goes on as soon as the board is heard."
    )


def _battery_low(v: Values) -> str:
    return (
        f"The battery is low: {shown(v, 'battery_v')}. Charge or change it before the next "
        "attempt: a board whose supply fails forgets what it holds."
    )


def _edges_lost(v: Values) -> str:
    edges = number(v, "edges")
    were = "was" if edges == 1 else "were"
    return f"{counted(edges, 'edge')} {were} lost on the board: the record has a gap."


def _capture_set_aside(v: Values) -> str:
    return (
        f"Capture {v['capture']} cannot be read again ({v['reason']}). It stays in the store. The"
        " recording goes on in a new one."
    )


def _observer_failed(v: Values) -> str:
    return (
        f"{v['observer']} failed ({v['reason']}) and shows nothing more. The recording goes on."
        " Please report it."
    )


def _store_waits(v: Values) -> str:
    return (
        f"{as_sentence(str(v['reason']))} The recording waits until the store can be written; the"
        " board keeps its edges meanwhile."
    )


TEXTS: dict[str, Text] = {
    RecordCode.LISTENING: lambda v: f"Listening on {v['link']}.",
    RecordCode.LISTENING_AGAIN: lambda v: f"Listening on {v['link']} again.",
    RecordCode.LINK_FAILED: lambda v: as_sentence(str(v["reason"])),
    RecordCode.NO_BOARD_ANSWERS: _no_board_answers,
    RecordCode.BOARD_RESTARTED: _board_restarted,
    RecordCode.BOARD_RESET: _board_reset,
    RecordCode.BOARD_RESTARTED_BEFORE: lambda v: _RESTARTS_BEFORE[str(v["cause"])],
    RecordCode.BATTERY_LOW: _battery_low,
    RecordCode.CAPTURE_SET_ASIDE: _capture_set_aside,
    RecordCode.STORE_WAITS: _store_waits,
    RecordCode.STORE_WRITES_AGAIN: lambda v: (
        "The store can be written again. The recording goes on."
    ),
    RecordCode.OBSERVER_FAILED: _observer_failed,
    RecordCode.EDGES_DO_NOT_ARRIVE: _edges_do_not_arrive,
    RecordCode.EDGES_ARRIVE_AGAIN: lambda v: f"All edges arrive over {v['link']} again.",
    RecordCode.BOARD_SILENT: _board_silent,
    RecordCode.EDGES_LOST_ON_BOARD: _edges_lost,
}
