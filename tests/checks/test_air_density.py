"""Air density against published equations and tables."""

from __future__ import annotations

import pytest

from unspool.car.air import air_density, saturation_pressure


@pytest.mark.parametrize(
    ("celsius", "pascal", "humidity", "density"),
    [
        (20.0, 101_325.0, 0.5, 1.199313895),
        (20.0, 101_325.0, 0.0, 1.204557342),
        (15.0, 101_325.0, 0.0, 1.225521345),
        (25.0, 101_325.0, 0.5, 1.177315374),
        (20.0, 100_000.0, 0.5, 1.183556609),
        (20.0, 75_000.0, 0.5, 0.886276595),
    ],
)
def test_cipm_2007(celsius: float, pascal: float, humidity: float, density: float) -> None:
    """Metrologia 45 (2008) 149, evaluated apart from this project to ten digits."""
    assert air_density(celsius, pascal, humidity) == pytest.approx(density, rel=1e-9)


def test_cipm_2007_saturation() -> None:
    """Saturation pressure at 20 C by the same paper's equation."""
    assert saturation_pressure(293.15) == pytest.approx(2339.163230, rel=1e-9)


def test_published_table_value() -> None:
    """The table value 1.199 kg/m3 at 20 C and 760 mmHg with the dew point at 10 C."""
    humidity = saturation_pressure(283.15) / saturation_pressure(293.15)
    assert air_density(20.0, 101_325.0, humidity) == pytest.approx(1.199, abs=5e-4)


@pytest.mark.parametrize(
    ("kelvin", "pascal", "density"),
    [
        (288.15, 101_325.0, 1.22500),
        (284.90, 95_460.8, 1.16727),  # 500 m geopotential altitude
        (281.65, 89_874.6, 1.11164),  # 1000 m geopotential altitude
    ],
)
def test_standard_atmosphere(kelvin: float, pascal: float, density: float) -> None:
    """ISO 2533's dry air is an ideal gas; real air is denser by 0.04 %, hence the tolerance."""
    assert air_density(kelvin - 273.15, pascal, 0.0) == pytest.approx(density, rel=6e-4)


def test_vehicle_test_reference_air() -> None:
    """WLTP reference air: 1.189 kg/m3 at 293 K and 100 kPa (dry, printed to three digits)."""
    assert air_density(293.0 - 273.15, 100_000.0, 0.0) == pytest.approx(1.189, abs=1e-3)


def test_reference_air_of_the_epa() -> None:
    """40 CFR 1066.805: 1.17 kg/m3 at 20 C and 98.21 kPa, printed to three digits."""
    assert air_density(20.0, 98_210.0, 0.0) == pytest.approx(1.17, abs=5e-3)
