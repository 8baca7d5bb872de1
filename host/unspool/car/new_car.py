"""The car and the floor that a form begins with: plain sizes, for the builder to replace."""

from __future__ import annotations

# Round figures of a common size. Nothing says how well they are measured: as the usual tools do.
NEW_CAR = """\
unspool = 1
name = "My car"

[body]
mass_g = 800

[weight]
mass_g = 500
drop_mm = 500

[string]
diameter_mm = 0.5

[[wheels]]
name = "rear"
count = 2
diameter_mm = 120
mass_g = 30
driven = true

[[wheels]]
name = "front"
count = 2
diameter_mm = 120
mass_g = 30

[[drum]]
name = "start"
diameter_mm = 24
turns = 3

[[drum]]
name = "run"
diameter_mm = 14
turns = 5

[encoder]
pulses_per_turn = 20
axle = "rear"
"""

NEW_FLOOR = """\
unspool = 1
name = "My floor"

[[level]]
distance_m = 0
height_mm = 0

[[level]]
distance_m = 10
height_mm = 0
"""
