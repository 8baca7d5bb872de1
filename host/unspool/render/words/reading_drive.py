"""What a reading finds of how the car was driven, in sentences: start, grip, swing, energy."""

from __future__ import annotations

from unspool.language import _, later, many
from unspool.render.words.units import quantity
from unspool.render.words.values import Values, bare, maybe, number, shown

_MORE_GRIP = later("Clean the tyre, put more load on the driven axle, or start on a smaller tier.")


def did_not_start(v: Values) -> str:
    edges = many("{count} edge", "{count} edges", number(v, "edges"))
    if v["backwards"]:
        return _(
            "The wheel only turned backwards ({edges}). If that was the attempt and not the "
            "winding, sensors A and B are swapped: exchange their wires.",
            edges=edges,
        )
    if v["starts"]:
        return _(
            "The car did not start ({edges} seen), but the model expects that it does. Look for "
            "a caught string, a rubbing wheel, or a weight that was still held.",
            edges=edges,
        )
    return _(
        "The car did not start ({edges} seen). The model agrees: the first tier pulls with only "
        "{margin} of the force that it takes. Wind on a larger tier first.",
        edges=edges,
        margin=shown(v, "start_margin"),
    )


def slip_at_start(v: Values) -> str:
    if "spun_s" not in v:
        seen = _(
            "From {begin} to {end} the wheel gained speed faster than the drum can drive the car, "
            "and then waited for the car. The tyre slipped.",
            begin=shown(v, "begin_m"),
            end=shown(v, "end_m"),
        )
    else:
        seen = _(
            "The wheel spun at the start for {spun}, until the tyre gripped at {grip}. It turned "
            "{turned}, about {lost} more than the car went. All distances are the wheel's: the car "
            "went that much less far.",
            spun=shown(v, "spun_s"),
            grip=shown(v, "grip_m_s"),
            turned=shown(v, "turned_m"),
            lost=shown(v, "lost_m"),
        )
    return f"{seen} {_(_MORE_GRIP)}"


def slipping(v: Values) -> str:
    said = {
        "share": quantity(100.0 * number(v, "share"), "%", 1),
        "place": shown(v, "over_m"),
    }
    if v["turns"] is None:
        seen = _(
            "Where the drive ended, at {place}, the driven wheel lost {share} of its speed at "
            "once. A string that holds at the peg takes another share. So the wheel slipped by "
            "that share up to there, and the car went {lost} less far than said here.",
            lost=slipped_way(v, "share", "over_m"),
            **said,
        )
    else:
        seen = _(
            "Up to {place} the car went {share} less far than the drum's turns make. The driven "
            "wheel slipped all along, or the rolling circumference of one of the axles is wrong. "
            "Or {turns} turns fewer were wound, by the same share on each tier.",
            turns=shown(v, "turns"),
            **said,
        )
    return f"{seen} {_(_MORE_GRIP)}"


def slipped_way(v: Values, share: str, until_m: str) -> str:
    """How much less far the car went than the wheel turned."""
    return quantity(number(v, share) * number(v, until_m), "m")


def swaying(v: Values) -> str:
    said = {
        "begin": shown(v, "begin_m"),
        "end": shown(v, "end_m"),
        "push": shown(v, "amplitude_m_s2"),
    }
    if v["of_weight"]:
        return _(
            "From {begin} to {end} the hanging weight swung and pushed the car to and fro by "
            "{push}. It swung {first} times a second at first and {last} in the end, because the "
            "string grew longer. Let go only when the weight hangs still, shorten its free string, "
            "or guide it between two wires.",
            first=bare(v, "first_hz"),
            last=bare(v, "last_hz"),
            **said,
        )
    return _(
        "From {begin} to {end} the tower, or the weight in it, swung at {rate}. It pushed the car "
        "to and fro by {push}. Brace the tower, guide the weight, and let go only when it hangs "
        "still.",
        rate=quantity(maybe(v, "first_hz"), "Hz", 1),
        **said,
    )


def energy_unexplained(v: Values) -> str:
    gap = number(v, "unexplained_j")
    said = {"size": quantity(abs(gap), "J"), "stored": shown(v, "stored_j")}
    if gap > 0.0:
        off = _(
            "The energies do not add up to the {stored} of the weight: {size} are missing.", **said
        )
    else:
        off = _(
            "The energies do not add up to the {stored} of the weight: there are {size} too many.",
            **said,
        )
    cure = _(
        "In the car file, check the masses, the drop, the rolling circumference and "
        "pulses_per_turn. Did a hand push the car?"
    )
    return f"{off} {cure}"


def rollback(v: Values) -> str:
    return _(
        "The car rolled back {back} from its furthest point: the floor there is too steep for its "
        "rolling resistance. Use less energy or another line.",
        back=shown(v, "back_m"),
    )
