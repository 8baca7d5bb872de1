"""Build 1: a cut disc and two forks."""

from __future__ import annotations

from drawings.ink import CARD, DARK, GREY, MODULE, PAPER, SMALL, STEEL, WOOD, Page, View
from drawings.scene import (
    angle_words,
    at_sensor,
    draw_bracket,
    forward_arrow,
    measures,
    side_shaft,
    slab,
)
from unspool.workshop.modules import SensorKind
from unspool.workshop.outline import rectangle, turned
from unspool.workshop.parts.bracket import PLATE_TO_DISC_MM, bracket, sensor_angles_rad

WANTED = measures(SensorKind.FORK)
FORK = WANTED.module
BEAM_MM = WANTED.rim_mm + WANTED.slot_length_mm / 2.0  # inside the rim


def hub() -> str:
    return hub_page(WANTED.thickness_mm, "disc", WANTED.disc_mm)


def hub_page(thickness_mm: float, name: str, disc_mm: float, number: int = 1) -> str:
    """The stack on the shaft, from the side."""
    page = Page("Hub ring, disc, hub ring on the shaft", 470)
    page.heading(number, "Disc between two hub rings")
    view = View(290, 250, 4.6)
    side_shaft(page, view, -44, 44, WANTED.shaft_mm)
    t, hub_mm = thickness_mm, WANTED.hub_mm
    screw_mm = -WANTED.hub_holes()[0].y_mm
    slab(page, view, -t / 2, t, -disc_mm / 2, disc_mm, WOOD)
    for x in (-1.5 * t, t / 2):
        slab(page, view, x, t, -hub_mm / 2, hub_mm, CARD)
    for y in (-screw_mm, screw_mm):  # a screw above the shaft, one below it
        slab(page, view, -1.5 * t - 2.5, 3 * t + 6.0, y - 1.5, 3.0, STEEL)
        slab(page, view, -1.5 * t - 4.5, 2.5, y - 2.75, 5.5, DARK)
        slab(page, view, 1.5 * t, 2.4, y - 2.75, 5.5, DARK)
    page.label((440, 110), (name,), view.at(t / 2 - 0.4, -disc_mm / 2 + 6))
    page.label((440, 180), ("hub ring",), view.at(1.5 * t - 1, -hub_mm / 2 + 2))
    page.label((440, 350), ("shaft",), view.at(36, 1))
    page.label((20, 110), ("3 screws M3", "through all"), view.at(-1.5 * t - 3.5, -7.5))
    page.label((20, 350), ("3 nuts",), view.at(1.5 * t + 1.2, 6.5))
    page.middle(
        (300, 425), ("Press or glue the rings onto the shaft.", "The disc must not wobble.")
    )
    return page.svg()


def feet() -> str:
    """Both ways round that a fork may stand on its circuit board."""
    page = Page("A fork on its foot", 560)
    page.heading(2, "Screw each fork to its foot")
    foot = bracket(WANTED).panels[1]
    for x, beside in ((120.0, True), (390.0, False)):
        view = View(x + 56, 190, 4.6)
        page.shape(foot.outer, view, WOOD)
        for hole in foot.holes:
            page.shape(hole, view, PAPER, width=1.5)
        _module_on_foot(page, view, beside=beside)
        page.line([view.at(-20, PLATE_TO_DISC_MM), view.at(12, PLATE_TO_DISC_MM)], GREY, 1.5, "6 5")
    page.label((300, 110), ("tenon, into the bracket",), (176, 178), "middle")
    page.middle((150, 436), ("Gap lies along", "the long side:", "slot beside"))
    page.middle((430, 436), ("Gap lies across", "the long side:", "slot behind"))
    page.middle((300, 524), ("Dashed: the disc's line, through the gap.",))
    return page.svg()


def _module_on_foot(page: Page, view: View, *, beside: bool) -> None:
    away, long = FORK.hole_from_beam_mm, FORK.hole_from_beam_mm + 15.0
    wide = FORK.width_mm
    # The two arms lie on both sides of the disc, whichever way the board points.
    if beside:
        board = rectangle(long, wide, -long / 2 + 7.0, PLATE_TO_DISC_MM)
        screw = (-away, PLATE_TO_DISC_MM)
    else:
        board = rectangle(wide, long, 0.0, PLATE_TO_DISC_MM + long / 2 - 7.0)
        screw = (0.0, PLATE_TO_DISC_MM + away)
    page.shape(board, view, MODULE)
    for side in (-1, 1):
        arm = rectangle(6.4, 4.5, 0.0, PLATE_TO_DISC_MM + side * (FORK.gap_mm / 2 + 2.25))
        page.shape(arm, view, DARK)
    page.circle(view.at(*screw), 2.75 * view.scale, STEEL)
    page.circle(view.at(*screw), 1.5 * view.scale, CARD)


def into_bracket() -> str:
    page = Page("The feet in the bracket, from the side of the wheel", 610)
    page.heading(3, "Press the feet into the bracket")
    view = View(250, 340, 4.4)
    draw_bracket(page, WANTED, view)
    foot = bracket(WANTED).panels[1].outer.area().bounds
    at_mm = WANTED.disc().sensor_radius_mm + FORK.above_board_mm + 1.6 + WANTED.thickness_mm / 2
    t = WANTED.thickness_mm
    for number, angle in enumerate(sensor_angles_rad(WANTED)):
        # A foot turned over for the second: the wide sides point away from each other.
        left, right = (foot[0], foot[2]) if number == 0 else (-foot[2], -foot[0])
        edge = rectangle(right - left, t, (left + right) / 2, -at_mm)
        page.shape(turned(edge, angle), view, WOOD)
        fork = rectangle(6.4, 12.0, 0.0, -at_mm + t / 2 + 7.6)
        page.shape(turned(fork, angle), view, DARK)
    page.circle(view.at(0, 0), WANTED.disc_mm / 2 * view.scale, "none", GREY, 2.0, "8 6")
    page.label((40, 96), ("A: at the top",), at_sensor(view, WANTED, 0, 10.0))
    page.label(
        (586, 110), ("B:", angle_words(WANTED), "from A"), at_sensor(view, WANTED, 1, 10.0), "end"
    )
    page.label((580, 400), ("the disc", "(dashed)"), view.at(28.5, 9), "end")
    forward_arrow(page, view, 33, (80, 468))
    note = (
        "Seen from where the wheel turns clockwise forward.",
        "The feet point to you. The disc comes before the plate.",
    )
    page.middle((300, 566), note)
    return page.svg()


def beside_disc() -> str:
    """The finished sensor, from the side."""
    page = Page("The bracket beside the disc, from the side", 520)
    page.heading(4, "Set the bracket beside the disc")
    view = View(170, 330, 4.6)
    t, radius = WANTED.thickness_mm, WANTED.disc_mm / 2
    side_shaft(page, view, -26, 76, WANTED.shaft_mm)
    slab(page, view, -t, t, -46, 40, CARD)
    slab(page, view, -t, t, 8, 22, CARD)
    slab(page, view, PLATE_TO_DISC_MM - t / 2, t, -radius, 2 * radius, WOOD)
    foot_y = -(WANTED.disc().sensor_radius_mm + FORK.above_board_mm + 1.6 + t)
    slab(page, view, -t, 42, foot_y, t, WOOD)
    slab(page, view, PLATE_TO_DISC_MM - 7.5, 15, foot_y + t, 1.6, MODULE)
    for side in (-1, 1):
        x = PLATE_TO_DISC_MM + side * (FORK.gap_mm / 2 + 2.25) - 2.25
        slab(page, view, x, 4.5, foot_y + t + 1.6, 12, DARK)
    page.span(view.at(0, 18), view.at(PLATE_TO_DISC_MM - t / 2, 18), "", view.at(0, 0))
    gap = f"{PLATE_TO_DISC_MM:g} mm, plate to middle of disc"
    page.text(view.at(PLATE_TO_DISC_MM + 4, 19.5), gap, size=SMALL)
    page.label((20, 110), ("bracket",), view.at(-t / 2, -38))
    page.label((420, 120), ("foot",), view.at(34, foot_y + 1.5))
    page.label((420, 200), ("fork",), view.at(PLATE_TO_DISC_MM + 5, foot_y + t + 8))
    page.label((420, 270), ("disc",), view.at(PLATE_TO_DISC_MM, -12))
    page.middle((300, 500), ("Screw the bracket's base to the car, not to the axle.",))
    return page.svg()


def gap_and_depth() -> str:
    page = Page("Gap and depth of the fork, enlarged", 560)
    page.heading(5, "Set gap and depth")
    view = View(260, 300, 17.0)
    t, gap = WANTED.thickness_mm, FORK.gap_mm
    slab(page, view, -t / 2, t, -BEAM_MM, BEAM_MM + 9.5, WOOD)
    slab(page, view, -t / 2, t, -WANTED.slot_length_mm / 2, WANTED.slot_length_mm, PAPER)
    slab(page, view, -gap / 2 - 4.5, gap + 9.0, -FORK.reach_mm - 3.0, 3.0, DARK)
    for x in (-gap / 2 - 4.5, gap / 2):
        slab(page, view, x, 4.5, -FORK.reach_mm, 9.0, DARK)
    page.line([view.at(-gap / 2, 0), view.at(gap / 2, 0)], "#a63603", 4.0, "7 5")
    page.span(view.at(-gap / 2, 5), view.at(gap / 2, 5), f"gap {gap:g} mm", view.at(3.2, 5.3))
    side = (gap - t) / 2
    page.label((440, 150), (f"{side:g} mm free", "on each side"), view.at(t / 2 + side / 2, -3.6))
    free = FORK.reach_mm - BEAM_MM
    page.label((20, 130), (f"{free:g} mm free",), view.at(-1.0, -FORK.reach_mm + free / 2))
    page.label((440, 300), ("beam, in the", "middle of", "the slot"), view.at(1.9, 0))
    page.span(view.at(-2.0, 0), view.at(-2.0, -BEAM_MM), "", view.at(0, 0))
    page.label((20, 390), (f"beam {BEAM_MM:g} mm", "inside the rim"), view.at(-2.0, -2.2))
    page.label((440, 460), (f"disc, {t:g} mm",), view.at(1.0, 8.4))
    page.middle((300, 520), ("Turn the wheel by hand: it touches nothing.",))
    return page.svg()


STEPS = {
    "fork-1-hub": hub,
    "fork-2-feet": feet,
    "fork-3-bracket": into_bracket,
    "fork-4-beside-disc": beside_disc,
    "fork-5-gap": gap_and_depth,
}
