"""Density and viscosity of the air that a ball flies through."""

from dataclasses import dataclass

import numpy as np

SEA_LEVEL_PA = 101_325.0  # ISO 2533 and US Standard Atmosphere 1976
ZERO_C_K = 273.15
DRY_AIR_J_KG_K = 287.05287  # gas constant, ISO 2533
VAPOUR_J_KG_K = 461.495  # gas constant of water vapour, from memory
LIMITS = {
    "temperature_c": (-40.0, 60.0),
    "humidity": (0.0, 1.0),
    "pressure_pa": (50_000.0, 110_000.0),
    "height_m": (-500.0, 5_000.0),
}


@dataclass(frozen=True)
class Air:
    """Density (kg/m3) and dynamic viscosity (Pa s); as it stands, the standard atmosphere at sea level (ISO 2533)."""

    density_kg_m3: float = 1.225
    viscosity_pa_s: float = 1.7894e-5


SEA_LEVEL = Air()


def air_of(
    temperature_c: float, humidity: float = 0.5, *, pressure_pa: float | None = None, height_m: float | None = None
) -> Air:
    """Return the air of a place.

    Parameters
    ----------
    temperature_c, humidity
        Degrees Celsius; relative humidity from 0 to 1.
    pressure_pa, height_m
        One of them: pressure as a barometer at the place reads it, or height above the sea, from which the standard
        atmosphere's pressure follows. A weather report's pressure is reduced to sea level: taken for the place's it is
        18 % wrong at 1,500 m. So give the height there.

    Raises
    ------
    ValueError
        Neither or both of pressure and height; a value outside `LIMITS`.
    """
    if (pressure_pa is None) == (height_m is None):
        raise ValueError("give the pressure measured at the place, or its height above the sea: one of them")
    if pressure_pa is None:
        pressure_pa = float(standard_pressure_pa(height_m))
    density = density_kg_m3(temperature_c, pressure_pa, humidity)
    return Air(float(density), float(viscosity_pa_s(temperature_c)))


def density_kg_m3(temperature_c: np.ndarray, pressure_pa: np.ndarray, humidity: np.ndarray = 0.0) -> np.ndarray:
    """Return the density of moist air, of the shape the arguments broadcast to: two ideal gases side by side.

    (p - e) / (287.05 T) + e / (461.5 T), e = humidity x saturation pressure. Within 0.1 % of CIPM-2007 (Picard, Davis,
    Glaser & Fujii, Metrologia 45, 2008, 149-155) from 0 to 40 C. ValueError outside `LIMITS`.
    """
    _check("pressure_pa", pressure_pa)
    _check("humidity", humidity)
    vapour_pa = humidity * saturation_pressure_pa(temperature_c)
    kelvin = temperature_c + ZERO_C_K
    return (pressure_pa - vapour_pa) / (DRY_AIR_J_KG_K * kelvin) + vapour_pa / (VAPOUR_J_KG_K * kelvin)


def saturation_pressure_pa(temperature_c: np.ndarray) -> np.ndarray:
    """Return the pressure of saturated water vapour: 610.94 exp(17.625 t / (t + 243.04)).

    Magnus form of Alduchov & Eskridge, J. Appl. Meteorol. 35 (1996) 601-609, from memory.
    """
    _check("temperature_c", temperature_c)
    return 610.94 * np.exp(17.625 * temperature_c / (temperature_c + 243.04))


def standard_pressure_pa(height_m: np.ndarray) -> np.ndarray:
    """Return the standard atmosphere's pressure at a geopotential height (ISO 2533): p0 (1 - 2.25577e-5 h)^5.25588."""
    _check("height_m", height_m)
    return SEA_LEVEL_PA * (1 - 2.25577e-5 * height_m) ** 5.25588


def viscosity_pa_s(temperature_c: np.ndarray) -> np.ndarray:
    """Return the dynamic viscosity of air: Sutherland's formula with the constants of ISO 2533, from memory."""
    _check("temperature_c", temperature_c)
    kelvin = temperature_c + ZERO_C_K
    return 1.458e-6 * kelvin**1.5 / (kelvin + 110.4)


def _check(name: str, value: np.ndarray) -> None:
    low, high = LIMITS[name]
    if not np.all((value >= low) & (value <= high)):
        raise ValueError(f"{name} must lie between {low:g} and {high:g}")
