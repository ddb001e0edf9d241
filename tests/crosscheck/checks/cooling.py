"""Kegs that cool: the same balances of heat, integrated by scipy."""

from functools import lru_cache

import numpy as np
from CoolProp.CoolProp import PropsSI
from scipy.integrate import solve_ivp
from scipy.interpolate import CubicSpline
from scipy.optimize import brentq

from checks.convection import ATM, keg_conductance
from registry import absolute, check, each, relative

WATER, STEEL = 18.5 * 0.99997, 4.2 * 500.0  # kg of water; J/K of steel
GRID = np.linspace(-2.0, 99.0, 203)
HEAT_CAPACITY = CubicSpline(
    GRID, [PropsSI("C", "T", max(t, 0.02) + 273.15, "P", ATM, "Water") for t in GRID]
)
LIBRARIES = "ht + CoolProp + scipy"


def capacity(t):
    """J/K of a keg with 18.5 L."""
    return WATER * HEAT_CAPACITY(t) + STEEL


def conductance(around, speed, pascal):
    """W/K over the temperature of the keg, tabulated once."""
    # In the fourth root of the distance from the air, in which free convection is smooth.
    root = np.linspace(0.02, (100.0 - around) ** 0.25, 120)
    table = [keg_conductance(around + r**4, around, speed, pascal) for r in root]
    spline = CubicSpline(root, table)
    return lambda t: spline(np.clip(np.abs(t - around), 1e-7, None) ** 0.25)


@lru_cache(maxsize=None)
def cooled(start, around, speed, bar):
    """Temperature over time, and hours until 4 °C."""
    ua = conductance(around, speed, bar * 1e5)

    def slope(_, t):
        return -ua(t) * (t - around) / capacity(t)

    def reached(_, t):
        return t[0] - 4.0

    week = 14 * 24 * 3600.0
    found = solve_ivp(
        slope, (0, week), [start], events=reached, dense_output=True, rtol=1e-8, atol=1e-8
    )
    return found.sol, found.t_events[0][0] / 3600


PLACE = ("from_C", "air_C", "speed_m_s", "p_bar")


@check(
    "keg_cooling_curve",
    LIBRARIES,
    absolute(0.1, "K"),
    "0.3 % of the conductance, which is as far as the properties of air agree, moves a hot keg by 0.1 K",
)
def _(row):
    def value(start, around, speed, bar, hours):
        return cooled(start, around, speed, bar)[0](hours * 3600)[0]

    return each(value, *(row[name] for name in PLACE), row["hours"])


@check("keg_cooling_time", LIBRARIES, relative(3e-3), "0.3 % of the conductance")
def _(row):
    return each(lambda *place: cooled(*place)[1], *(row[name] for name in PLACE))


@lru_cache(maxsize=None)
def bathed(start, ua):
    """Temperature over time in ice water."""
    return solve_ivp(
        lambda _, t: -ua * t / capacity(t),
        (0, 72 * 3600.0),
        [start],
        dense_output=True,
        rtol=1e-9,
        atol=1e-9,
    ).sol


@check(
    "ice_bath_curve",
    "CoolProp + scipy",
    absolute(0.05, "K"),
    "0.1 % of the heat capacity, and the model's steps",
)
def _(row):
    def value(start, ua, hours):
        return bathed(start, ua)(hours * 3600)[0]

    return each(value, row["from_C"], row["ua_W_K"], row["hours"])


@check("ice_bath_time", "CoolProp + scipy", relative(1e-3), "0.1 % of the heat capacity")
def _(row):
    def value(start, end, ua):
        if end >= start:
            return 0.0
        curve = bathed(start, ua)
        return brentq(lambda hours: curve(hours * 3600)[0] - end, 0, 72)

    return each(value, row["from_C"], row["to_C"], row["ua_W_K"])


@lru_cache(maxsize=None)
def stored(start, kegs, power, speed):
    """Kegs in a store at 2 °C in a room of 22 °C, whose walls pass 2 W/K."""
    # The film depends on both temperatures; a table over the keg for some airs.
    airs = np.linspace(2.0, 80.0, 79)
    tables = [conductance(around, speed, ATM) for around in airs]

    def ua(t, around):
        place = np.clip((around - 2.0), 0, 77.999)
        low = int(place)
        part = place - low
        return (1 - part) * tables[low](t) + part * tables[low + 1](t)

    def air(t):
        def left(around):
            return power - 2.0 * (22.0 - around) - kegs * ua(t, around) * (t - around)

        if left(2.0) >= 0:
            return 2.0
        return brentq(left, 2.0, min(max(t, 22.0), 79.9))

    def slope(_, t):
        around = air(float(t[0]))
        return -ua(float(t[0]), around) * (t - around) / capacity(t)

    found = solve_ivp(
        slope, (0, 36 * 3600.0), [start], dense_output=True, rtol=1e-6, atol=1e-6, max_step=600
    )
    return found.sol


@check(
    "store_of_kegs",
    LIBRARIES,
    absolute(0.15, "K"),
    "as for one keg; the model takes the air as constant for five minutes",
)
def _(row):
    def value(start, kegs, power, speed, hours):
        return stored(start, kegs, power, speed)(hours * 3600)[0]

    columns = ("from_C", "kegs", "power_W", "speed_m_s", "hours")
    return each(value, *(row[name] for name in columns))
