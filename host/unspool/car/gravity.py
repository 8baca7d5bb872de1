"""The acceleration of free fall, in one place for all that computes with it."""

from __future__ import annotations

# m/s2, third General Conference on Weights and Measures (1901). At the ground real gravity is
# within 0.3 % of it, which is less than a builder knows of the friction that it multiplies.
STANDARD_GRAVITY = 9.80665
