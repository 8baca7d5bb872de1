"""What a reading finds, in sentences: what was seen, then what to do about it."""

from __future__ import annotations

from unspool.reading.events.codes import ReadingCode
from unspool.render.words import reading_drive as drive
from unspool.render.words import reading_sensor as sensor
from unspool.render.words import reading_winding as winding
from unspool.render.words.values import Text

TEXTS: dict[str, Text] = {
    ReadingCode.DID_NOT_START: drive.did_not_start,
    ReadingCode.LAUNCH_NOT_SEEN: sensor.launch_not_seen,
    ReadingCode.SLIP_AT_START: drive.slip_at_start,
    ReadingCode.HANDLED: sensor.handled,
    ReadingCode.MISSING_EDGES: sensor.missing_edges,
    ReadingCode.CHATTER: sensor.chatter,
    ReadingCode.COARSE_TIMES: sensor.coarse_times,
    ReadingCode.SLOT_COUNT_DOUBTFUL: sensor.slot_count_doubtful,
    ReadingCode.DIRECTION_NOT_KNOWN: sensor.direction_not_known,
    ReadingCode.TIER_CHANGE_NOT_SEEN: winding.tier_change_not_seen,
    ReadingCode.WEIGHT_LANDED_FIRST: winding.weight_landed_first,
    ReadingCode.EARLY_RELEASE: winding.early_release,
    ReadingCode.RELEASED_LATE: winding.released_late,
    ReadingCode.WINDING_DIFFERS: winding.winding_differs,
    ReadingCode.TIERS_IN_WRONG_ORDER: winding.tiers_in_wrong_order,
    ReadingCode.SLIPPING: drive.slipping,
    ReadingCode.STRING_HELD: winding.string_held,
    ReadingCode.SWAYING: drive.swaying,
    ReadingCode.ENERGY_UNEXPLAINED: drive.energy_unexplained,
    ReadingCode.CUT_SHORT: sensor.cut_short,
    ReadingCode.EDGES_LOST_BEFORE: sensor.edges_lost_before,
    ReadingCode.ROLLBACK: drive.rollback,
}
