"""Flow through the line from keg to tap."""

import numpy as np
from CoolProp.CoolProp import PropsSI
from fluids import Churchill_1977, dP_from_K, friction_factor
from scipy.constants import g
from scipy.optimize import brentq

from registry import check, each, relative

ATM = 101325.0


def water(celsius):
    """Density and viscosity of water under a little pressure, as it is in a line."""
    kelvin = celsius + 273.15
    pascal = ATM + 1e5
    return PropsSI("D", "T", kelvin, "P", pascal, "Water"), PropsSI("V", "T", kelvin, "P", pascal, "Water")


def bar_needed(celsius, bore, length, lift, roughness, fittings, litres):
    """Pressure by the friction factor of `fluids`: 64/Re, or Colebrook solved exactly."""
    density, viscosity = water(celsius)
    speed = litres / 6e4 / (np.pi / 4 * bore**2)
    reynolds = density * speed * bore / viscosity
    factor = friction_factor(Re=reynolds, eD=roughness / bore)
    loss = dP_from_K(factor * length / bore + fittings + 1, rho=density, V=speed)
    return (loss + density * g * lift) / 1e5, reynolds


@check(
    "friction_factor",
    "fluids",
    relative(1e-6),
    "Churchill 1977 in both",
)
def churchill(row):
    return each(Churchill_1977, row["reynolds"], row["roughness"])


@check(
    "friction_factor",
    "fluids",
    relative(0.035),
    "Colebrook solved exactly, and 64/Re below 2040; between 2000 and 4000 nobody knows, and "
    "nothing is compared",
)
def colebrook(row):
    value = each(lambda re, rough: friction_factor(Re=re, eD=rough), row["reynolds"], row["roughness"])
    between = (row["reynolds"] > 1800) & (row["reynolds"] < 4000)
    return np.where(between, np.nan, value)


@check(
    "line_pressure",
    "fluids + CoolProp",
    relative(0.03),
    "Colebrook solved exactly against Churchill, and the viscosity of water by another formula; "
    "nothing between Reynolds numbers of 1800 and 4000",
)
def line_pressure(row):
    def one(*conditions):
        bar, reynolds = bar_needed(*conditions)
        return np.nan if 1800 < reynolds < 4000 else bar

    columns = ("t_C", "bore_m", "length_m", "lift_m", "roughness_m", "fittings", "L_per_min")
    return each(one, *(row[name] for name in columns))


@check(
    "line_flow",
    "fluids + scipy",
    relative(0.025),
    "the pressure of the line, solved for the flow, which goes with the square root of the friction",
)
def line_flow(row):
    def one(celsius, bore, length, lift, roughness, fittings, bar):
        def over(litres):
            return bar_needed(celsius, bore, length, lift, roughness, fittings, litres)[0] - bar

        litres = brentq(over, 1e-6, 200, xtol=1e-12)
        reynolds = bar_needed(celsius, bore, length, lift, roughness, fittings, litres)[1]
        return np.nan if 1700 < reynolds < 4200 else litres

    columns = ("t_C", "bore_m", "length_m", "lift_m", "roughness_m", "fittings", "bar")
    return each(one, *(row[name] for name in columns))
