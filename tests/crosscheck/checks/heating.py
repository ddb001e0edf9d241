"""Pots that heat, with and without a lid, and drinks that meet ice or glass."""

from functools import lru_cache

import numpy as np
from CoolProp.CoolProp import HAPropsSI, PropsSI
from iapws._iapws import _Ice
from scipy.integrate import solve_ivp
from scipy.interpolate import CubicSpline
from scipy.optimize import brentq

from checks.convection import air
from checks.properties import R, heat, vapour
from registry import absolute, check, each, relative

GRID = np.linspace(0.02, 99.5, 200)
HEAT = CubicSpline(GRID, [heat(t) for t in GRID])
CAPACITY = HEAT.derivative()
DENSE = 0.99997  # kg in a litre measured cold
STEEL = 6.0 * 500.0


def capacity(t, litres):
    return litres * DENSE * CAPACITY(t) + STEEL


def minutes(slope, start, end):
    """Until the end is reached."""

    def reached(_, t):
        return t[0] - end

    reached.terminal = True
    found = solve_ivp(slope, (0, 1e6), [start], events=reached, rtol=1e-8, atol=1e-8)
    return found.t_events[0][0] / 60


@check("heating_time", "CoolProp + scipy", relative(1e-3), "0.1 % of the heat capacity")
def _(row):
    def value(litres, start, end, watts, loss):
        return minutes(lambda _, t: (watts - loss * (t - 20.0)) / capacity(t, litres), start, end)

    columns = ("litres", "from_C", "to_C", "watts", "loss_W_K")
    return each(value, *(row[name] for name in columns))


@lru_cache(maxsize=None)
def steam(t, pascal):
    """kg/s and W leaving 0.1 m² of water at t, in a room of 20 °C and 50 % humidity."""
    area, room = 0.1, 293.15
    hot = t + 273.15
    film = (hot + room) / 2
    # Air saturated at the surface, and that of the room; Vha is m³ per kg of moist air.
    light = 1 / HAPropsSI("Vha", "T", hot, "R", 1.0, "P", pascal)
    heavy = 1 / HAPropsSI("Vha", "T", room, "R", 0.5, "P", pascal)
    conductivity, viscosity, _ = air(film, pascal)
    # Vapour in air: Marrero & Mason 1972 (from memory).
    diffusivity = 1.87e-10 * film**2.072 / (pascal / 101325.0)
    plume = 0.15 * (9.80665 * max(heavy - light, 0.0) / light / viscosity / diffusivity) ** (1 / 3)
    inside = 0.5 * vapour(20.0)
    mass = plume * diffusivity * (vapour(t) - inside) / (R * film) * 18.01528e-3 * area
    latent = PropsSI("H", "T", hot, "Q", 1, "Water") - PropsSI("H", "T", hot, "Q", 0, "Water")
    return mass, mass * latent + plume * conductivity * (hot - room) * area


@check(
    "pot_steam",
    "CoolProp",
    relative(2e-2),
    "properties of moist air of their own; the model itself is good to a factor 2",
)
def _(row):
    return each(lambda t, bar: steam(t, bar * 1e5)[0] * 3600, row["t_C"], row["p_bar"])


@check("pot_heat", "CoolProp", relative(2e-2), "as for the steam")
def _(row):
    return each(lambda t, bar: steam(t, bar * 1e5)[1], row["t_C"], row["p_bar"])


@check(
    "open_pot_time",
    "CoolProp + scipy",
    relative(1e-2),
    "2 % of losses that are up to half of the heat",
)
def _(row):
    @lru_cache(maxsize=None)
    def losses(pascal):
        at = np.linspace(15.0, 90.0, 76)
        return CubicSpline(at, [max(steam(t, pascal)[1], 0.0) for t in at])

    def value(litres, end, watts, bar):
        lost = losses(bar * 1e5)

        def slope(_, t):
            return (watts - 3.0 * (t - 20.0) - lost(t)) / capacity(t, litres)

        return minutes(slope, 15.0, end)

    return each(value, *(row[name] for name in ("litres", "to_C", "watts", "p_bar")))


def settled(litres, t, ice, cold):
    """Temperature of water and ice, and ice melted."""
    water = litres * DENSE
    frozen = _Ice(cold + 273.15, 0.101325)["h"] * 1000
    # The two libraries' zeros are the same: liquid water at the triple point.
    total = water * float(HEAT(t)) + ice * frozen
    freezing = float(HEAT(0.02)) - 0.02 * 4219.9
    surplus = total - (water + ice) * freezing
    if surplus >= 0:
        end = brentq(lambda c: float(HEAT(c)) * (water + ice) - total, -0.5, t + 0.01)
        return end, ice
    melting = freezing - _Ice(273.15, 0.101325)["h"] * 1000
    return 0.0, ice - min(-surplus / melting, ice)


COLUMNS = ("litres", "t_C", "ice_kg", "ice_C")


@check(
    "ice_in_water_temperature",
    "CoolProp + iapws + scipy",
    absolute(0.05, "K"),
    "enthalpies good to 0.05 % of the heat that passes",
)
def _(row):
    return each(lambda *mix: settled(*mix)[0], *(row[name] for name in COLUMNS))


@check(
    "ice_in_water_melted",
    "CoolProp + iapws",
    absolute(0.01, "kg"),
    "as for the temperature; up to 13.5 kg",
)
def _(row):
    return each(lambda *mix: settled(*mix)[1], *(row[name] for name in COLUMNS))


@check(
    "glass_temperature",
    "CoolProp + scipy",
    absolute(0.05, "K"),
    "the model takes the heat capacity of cold water as 4.19 kJ/(kg K)",
)
def _(row):
    def value(litres, drink, glass, warm):
        water, solid = litres * DENSE, glass * 800.0  # J/K of glass, from memory as in the model

        def balance(t):
            return water * float(HEAT(t) - HEAT(drink)) + solid * (t - warm)

        return brentq(balance, -1.0, 40.0)

    return each(value, *(row[name] for name in ("litres", "drink_C", "glass_kg", "glass_C")))
