"""Air as it carries heat."""

from functools import lru_cache

import numpy as np
from CoolProp.CoolProp import PropsSI
from ht import Nu_cylinder_Churchill_Bernstein, Nu_vertical_plate_Churchill
from scipy.constants import sigma

from registry import check, each, relative

ATM = 101325.0


@lru_cache(maxsize=None)
def air(kelvin, pascal):
    """Conductivity, kinematic viscosity and Prandtl number of dry air."""
    conductivity = PropsSI("L", "T", kelvin, "P", pascal, "Air")
    viscosity = PropsSI("V", "T", kelvin, "P", pascal, "Air")
    capacity = PropsSI("C", "T", kelvin, "P", pascal, "Air")
    density = PropsSI("D", "T", kelvin, "P", pascal, "Air")
    return conductivity, viscosity / density, capacity * viscosity / conductivity


def film(surface, around):
    return (surface + around) / 2 + 273.15


def free(surface, around, height, pascal=ATM):
    """W/(m² K) by Churchill & Chu."""
    kelvin = film(surface, around)
    conductivity, viscosity, prandtl = air(kelvin, pascal)
    grashof = 9.80665 / kelvin * abs(surface - around) * height**3 / viscosity**2
    return Nu_vertical_plate_Churchill(Pr=prandtl, Gr=grashof) * conductivity / height


def forced(surface, around, diameter, speed, pascal=ATM):
    """W/(m² K) by Churchill & Bernstein."""
    conductivity, viscosity, prandtl = air(film(surface, around), pascal)
    reynolds = speed * diameter / viscosity
    return Nu_cylinder_Churchill_Bernstein(reynolds, prandtl) * conductivity / diameter


# The keg: 0.22 m wide, 0.56 m high, emissivity 0.2.
WIDE, HIGH, EMISSIVITY = 0.22, 0.56, 0.2
SURFACE = np.pi * WIDE * HIGH + np.pi * WIDE**2 / 2


def keg_conductance(surface, around, speed, pascal):
    """W/K: both kinds of convection, blended as cubes, and radiation."""
    still = free(surface, around, HIGH, pascal)
    blown = forced(surface, around, WIDE, speed, pascal) if speed > 0 else 0.0
    hot, cold = surface + 273.15, around + 273.15
    radiation = EMISSIVITY * sigma * (hot**4 - cold**4) / (hot - cold) if hot != cold else 0.0
    return ((still**3 + blown**3) ** (1 / 3) + radiation) * SURFACE


@check(
    "air_conductivity",
    "CoolProp",
    relative(5e-3),
    "a short formula fitted to Lemmon & Jacobsen 2004, who are 2 % uncertain",
)
def _(row):
    return each(lambda t: air(t + 273.15, ATM)[0], row["t_C"])


@check(
    "air_kinematic_viscosity",
    "CoolProp",
    relative(5e-3),
    "as for the conductivity; the pressure divides",
)
def _(row):
    def value(t, bar):
        return air(t + 273.15, bar * 1e5)[1] * 1e6

    return each(value, row["t_C"], row["p_bar"])


@check(
    "air_prandtl",
    "CoolProp",
    relative(1e-2),
    "as for the conductivity; heat capacity taken as constant",
)
def _(row):
    return each(lambda t: air(t + 273.15, ATM)[2], row["t_C"])


@check(
    "free_convection",
    "ht + CoolProp",
    relative(3e-3),
    "the same correlation with other properties of air; the correlation itself is good to 10 %",
)
def _(row):
    return each(free, row["surface_C"], row["air_C"], row["height_m"])


@check(
    "forced_convection",
    "ht + CoolProp",
    relative(3e-3),
    "the same correlation with other properties of air; the correlation itself is good to 20 %",
)
def _(row):
    return each(forced, row["surface_C"], row["air_C"], row["diameter_m"], row["speed_m_s"])


@check(
    "keg_conductance", "ht + CoolProp + scipy", relative(3e-3), "as for the two kinds of convection"
)
def _(row):
    pascal = row["p_bar"] * 1e5
    return each(keg_conductance, row["surface_C"], row["air_C"], row["speed_m_s"], pascal)
