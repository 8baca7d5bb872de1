"""Density of moist air from what a weather station shows.

The CIPM-2007 equation (Picard, Davis, Glaeser, Fujii, Metrologia 45 (2008) 149) with the usual
share of carbon dioxide, 0.0004. It holds from 600 to 1100 hPa and 15 to 27 C within 0.0025 %, and
outside that far better than a drag area is ever known.
"""

from __future__ import annotations

from math import exp

STANDARD_PRESSURE_PA = 101_325.0
ROOM_TEMPERATURE_C = 20.0
ROOM_HUMIDITY = 0.5

_GAS_CONSTANT = 8.314472  # J/(mol K), the value that the equation was published with
_DRY_MOLAR_MASS = 28.96546e-3  # kg/mol
_WATER_MOLAR_MASS = 18.01528e-3  # kg/mol


def saturation_pressure(temperature_k: float) -> float:
    """Vapour pressure of water at saturation in Pa (CIPM-2007, equation A1.1)."""
    t = temperature_k
    return exp(1.2378847e-5 * t**2 - 1.9121316e-2 * t + 33.93711047 - 6.3431645e3 / t)


def _vapour_fraction(temperature_c: float, pressure_pa: float, humidity: float) -> float:
    enhancement = 1.00062 + 3.14e-8 * pressure_pa + 5.6e-7 * temperature_c**2
    return humidity * enhancement * saturation_pressure(temperature_c + 273.15) / pressure_pa


def _compressibility(temperature_c: float, pressure_pa: float, vapour: float) -> float:
    t, ratio = temperature_c, pressure_pa / (temperature_c + 273.15)
    dry = 1.58123e-6 - 2.9331e-8 * t + 1.1043e-10 * t**2
    mixed = (5.707e-6 - 2.051e-8 * t) * vapour
    water = (1.9898e-4 - 2.376e-6 * t) * vapour**2
    return 1.0 - ratio * (dry + mixed + water) + ratio**2 * (1.83e-11 - 0.765e-8 * vapour**2)


def air_density(
    temperature_c: float = ROOM_TEMPERATURE_C,
    pressure_pa: float = STANDARD_PRESSURE_PA,
    humidity: float = ROOM_HUMIDITY,
) -> float:
    """Density of air in kg/m3; humidity is the relative humidity as a fraction of 1."""
    vapour = _vapour_fraction(temperature_c, pressure_pa, humidity)
    z = _compressibility(temperature_c, pressure_pa, vapour)
    dry = pressure_pa * _DRY_MOLAR_MASS / (z * _GAS_CONSTANT * (temperature_c + 273.15))
    return dry * (1.0 - vapour * (1.0 - _WATER_MOLAR_MASS / _DRY_MOLAR_MASS))
