"""What a reading finds of string and winding, in sentences."""

from __future__ import annotations

from unspool.language import _, later, many
from unspool.render.words.reading_drive import slipped_way
from unspool.render.words.units import quantity
from unspool.render.words.values import Values, in_mm, listed, number, shown, words


def tier_change_not_seen(v: Values) -> str:
    said = {"before": v["from_tier"], "after": v["to_tier"], "place": shown(v, "expected_m")}
    if v["edges"] is not None:
        return many(
            "The change from {before} to {after}, expected at {place}, cannot be placed: a stretch "
            "beside it has only {count} edge. A disc with more edges a turn would show it.",
            "The change from {before} to {after}, expected at {place}, cannot be placed: a stretch "
            "beside it has only {count} edges. A disc with more edges a turn would show it.",
            number(v, "edges"),
            **said,
        )
    return _(
        "The change from {before} to {after}, expected at {place}, does not show. Either the "
        "string crossed over at the very start, or both tiers pull almost alike.",
        **said,
    )


def weight_landed_first(v: Values) -> str:
    if v["turns_doubted"]:
        return _(
            "The weight landed at {place} with string still wound. How much is not sure, for the "
            "turns may not be as said: count them again before you wind less. By the turns as said "
            "it is {slack}.",
            place=shown(v, "at_m"),
            slack=in_mm(v, "slack_m"),
        )
    return _(
        "The weight landed at {place} with {slack} of string still wound. From there the car "
        "coasted while the string unwound slack. Wind that much less, so that the string does not "
        "tangle.",
        place=shown(v, "at_m"),
        slack=in_mm(v, "slack_m"),
    )


def early_release(v: Values) -> str:
    said = {"left": shown(v, "left_j"), "stored": shown(v, "stored_j")}
    if v["early_m"] is None and v["turns_doubted"]:
        return _(
            "By the turns as said the wound string is shorter than the drop, so {left} of {stored} "
            "stayed in the weight. But the turns may not be as said: count them again before you "
            "wind more.",
            **said,
        )
    if v["early_m"] is None:
        return _(
            "The wound string is shorter than the drop, so {left} of {stored} stayed in the "
            "weight. Wind more turns if the tower allows it.",
            **said,
        )
    seen = _(
        "The string let go at {place}, {early} before it was off the drum as wound: {left} of "
        "{stored} stayed in the weight. Look at the loop and the peg. Or the string was wound "
        "{short} shorter than said: count the turns again.",
        place=shown(v, "at_m"),
        early=shown(v, "early_m"),
        short=in_mm(v, "string_m"),
        **said,
    )
    if v["slip_share"] is None:
        return seen
    or_slip = _(
        "A driven wheel that slipped by {share} all along would look the same.",
        share=_percent(v, "slip_share"),
    )
    return f"{seen} {or_slip}"


def released_late(v: Values) -> str:
    return _(
        "The string let go at {place}, {late} later than wound. It is about {long} longer than "
        "said, or {turns} turns more were on the last tier. Count the turns again.",
        place=shown(v, "at_m"),
        late=shown(v, "late_m"),
        long=in_mm(v, "string_m"),
        turns=shown(v, "turns"),
    )


def winding_differs(v: Values) -> str:
    tiers = words(v, "tiers")
    on = _("on the tier {tier}", tier=tiers[0])
    if len(tiers) > 1:
        on = _("on the tiers {tiers} together", tiers=listed(tiers))
    off = number(v, "measured_turns") - number(v, "said_turns")
    said = {
        "measured": shown(v, "measured_turns"),
        "on": on,
        "said": shown(v, "said_turns"),
        "off": quantity(abs(off), ""),
    }
    if off > 0.0:
        seen = _("The attempt shows {measured} turns {on}, and not {said}: {off} more.", **said)
    else:
        seen = _("The attempt shows {measured} turns {on}, and not {said}: {off} fewer.", **said)
    cure = _("Correct its winding, or count the next one again.")
    return f"{seen} {cure}"


def tiers_in_wrong_order(v: Values) -> str:
    then = later("then")
    return _(
        "The tiers pulled in the order {found}, and not {said}. Wind the tier that is to pull last "
        "first, or put the car file's tiers in the order in which the string leaves them.",
        found=listed(words(v, "found"), then),
        said=listed(words(v, "said"), then),
    )


def string_held(v: Values) -> str:
    parts = [
        _(
            "The string held at the peg: at {place}, where it should let go, the car braked hard.",
            place=shown(v, "at_m"),
        )
    ]
    if v["lost_m_s"] is not None:
        lost, before = shown(v, "lost_m_s"), shown(v, "before_m_s")
        parts.append(_("It lost {lost} of {before} at once.", lost=lost, before=before))
    parts.append(_("File the peg smooth, lean it towards the pull, and tie no knot at the loop."))
    if v["slip_share"] is not None:
        parts.append(
            _(
                "Or the driven wheel, which the sensor watches, slipped by {share} up to there. "
                "Then the car went {lost} less far than said here, and a tape shows it.",
                share=_percent(v, "slip_share"),
                lost=slipped_way(v, "slip_share", "at_m"),
            )
        )
    return " ".join(parts)


def _percent(v: Values, name: str) -> str:
    return quantity(100.0 * number(v, name), "%", 1)
