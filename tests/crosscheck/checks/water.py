"""Water, ice and steam."""

import gsw
import numpy as np
from CoolProp.CoolProp import PropsSI
from fluids import ATMOSPHERE_1976
from iapws._iapws import _Ice, _Liquid
from iapws.iapws97 import IAPWS97, _PSat_T, _TSat_P
from scipy.optimize import brentq

from checks.properties import ATM, R, density, heat, vapour
from registry import absolute, check, each, relative, relative_by

NAN = float("nan")


def liquid(name, factor, lowest=-20.0):
    """The liquid-water formulation of IAPWS, which also covers supercooled water."""

    def value(t):
        inside = lowest <= t <= 109.9
        return _Liquid(t + 273.15, 0.1)[name] * factor if inside else NAN

    return value


def above_triple(function):
    return lambda t: function(t) if t >= 0.02 else NAN


@check(
    "water_density",
    "CoolProp",
    relative_by(
        "0.005 %, 0.03 % above 110 °C", lambda row: np.where(row["t_C"] <= 110, 5e-5, 3e-4)
    ),
    "Kell 1975 for one atmosphere; hotter water is only liquid under pressure, which squeezes it",
)
def _(row):
    return each(above_triple(density), row["t_C"])


@check("water_density", "iapws", relative(1e-4), "IAPWS SR6-08 for liquid water, from -20 °C on")
def _(row):
    return each(liquid("rho", 1.0), row["t_C"])


@check(
    "water_heat_capacity",
    "CoolProp",
    relative(2e-3),
    "uncertainty of the heat capacity in IAPWS-IF97, 0.2 %",
)
def _(row):
    def value(t):
        return PropsSI("C", "T", t + 273.15, "P", max(ATM, 1.0001 * vapour(t)), "Water") / 1000

    return each(above_triple(value), row["t_C"])


@check(
    "water_heat_capacity",
    "iapws",
    relative(6e-3),
    "IAPWS SR6-08; the model extrapolates a fit below 0 °C",
)
def _(row):
    return each(liquid("cp", 1.0), row["t_C"])


@check(
    "water_viscosity",
    "CoolProp",
    relative(2e-3),
    "simplified formula of IAPWS for liquid water against the full one: 0.1 %, each 1 % uncertain",
)
def _(row):
    def value(t):
        return PropsSI("V", "T", t + 273.15, "P", max(ATM, 1.0001 * vapour(t)), "Water") * 1000

    return each(above_triple(value), row["t_C"])


@check("water_viscosity", "iapws", relative(1e-6), "the same formula")
def _(row):
    return each(liquid("mu", 1000.0), row["t_C"])


@check(
    "water_enthalpy_rise",
    "CoolProp",
    relative(1e-3),
    "half the uncertainty of IAPWS-IF97's heat capacity",
)
def _(row):
    return (each(heat, row["to_C"]) - each(heat, row["from_C"])) / 1000


@check(
    "water_enthalpy_rise",
    "iapws",
    absolute(0.006, "kJ/kg"),
    "the model's polynomial follows IAPWS-IF97 to 0.0013 kJ/kg at one atmosphere",
)
def _(row):
    def value(t):
        if t > 100:
            return NAN  # steam at one atmosphere
        pressure = max(0.101325, 1.0001 * _PSat_T(t + 273.15))
        return IAPWS97(T=max(t, 1e-6) + 273.15, P=pressure).h

    return each(value, row["to_C"]) - each(value, row["from_C"])


@check(
    "water_vapour_pressure",
    "CoolProp",
    relative(5e-4),
    "IAPWS-IF97 against IAPWS-95: 0.025 % uncertain each",
)
def _(row):
    return each(above_triple(lambda t: vapour(t) / 1e5), row["t_C"])


@check("water_vapour_pressure", "iapws", relative(1e-9), "the same formula")
def _(row):
    return each(lambda t: 10 * _PSat_T(t + 273.15) if t >= 0 else NAN, row["t_C"])


@check("boiling_point", "CoolProp", absolute(0.01, "K"), "0.025 % of the pressure at 0.035 per K")
def _(row):
    return each(lambda p: PropsSI("T", "P", p * 1e5, "Q", 0, "Water") - 273.15, row["p_bar"])


@check("boiling_point", "iapws", absolute(1e-6, "K"), "the same formula")
def _(row):
    return each(lambda p: _TSat_P(p / 10) - 273.15, row["p_bar"])


@check("standard_atmosphere", "fluids", relative(1e-5), "the same standard; constants rounded")
def _(row):
    return each(lambda z: ATMOSPHERE_1976(z).P / 1e5, row["z_m"])


@check(
    "boiling_point_by_elevation",
    "fluids + CoolProp",
    absolute(0.01, "K"),
    "as for the boiling point",
)
def _(row):
    def value(z):
        return PropsSI("T", "P", ATMOSPHERE_1976(z).P, "Q", 0, "Water") - 273.15

    return each(value, row["z_m"])


@check("steam_density", "CoolProp", relative(5e-4), "IAPWS SR1-86 against IAPWS-95")
def _(row):
    return each(above_triple(lambda t: PropsSI("D", "T", t + 273.15, "Q", 1, "Water")), row["t_C"])


def evaporation(t):
    kelvin = t + 273.15
    return PropsSI("H", "T", kelvin, "Q", 1, "Water") - PropsSI("H", "T", kelvin, "Q", 0, "Water")


@check(
    "vaporisation_heat",
    "CoolProp",
    relative(1e-3),
    "Clausius and Clapeyron with three formulas, each good to 0.05 %",
)
def _(row):
    return each(above_triple(lambda t: evaporation(t) / 1000), row["t_C"])


@check("steam_enthalpy", "CoolProp", relative(5e-4), "as for the heat of vaporisation")
def _(row):
    zero = PropsSI("H", "T", 273.16, "Q", 0, "Water")

    def value(t):
        return (PropsSI("H", "T", t + 273.15, "Q", 1, "Water") - zero) / 1000

    return each(value, row["t_C"])


@check(
    "ice_enthalpy",
    "iapws",
    absolute(0.06, "kJ/kg"),
    "a quadratic through IAPWS R10-06, fitted to 0.05 kJ/kg",
)
def _(row):
    zero = heat(0.02) / 1000 - 0.02 * 4.2199
    return each(lambda t: _Ice(t + 273.15, 0.101325)["h"] - zero, row["t_C"])


@check("ice_enthalpy", "gsw", absolute(0.06, "kJ/kg"), "TEOS-10")
def _(row):
    zero = gsw.enthalpy_t_exact(0.0, 0.0, 0.0) / 1000
    return gsw.enthalpy_ice(row["t_C"], 0.0) / 1000 - zero


@check("ice_fusion_heat", "gsw", absolute(0.02, "kJ/kg"), "TEOS-10; handbook 333.4")
def _(row):
    return np.full(1, gsw.latentheat_melting(0.0, 0.0) / 1000)


@check("ice_needed", "CoolProp + iapws", relative(1e-3), "the enthalpies above")
def _(row):
    def value(hot, end, cold):
        ice = _Ice(cold + 273.15, 0.101325)["h"] * 1000
        return (heat(hot) - heat(end)) / (heat(end) - ice)

    return each(value, row["hot_C"], row["end_C"], row["ice_C"])


@check(
    "freezing_point",
    "gsw + scipy",
    absolute(0.03, "K"),
    "Norrish's activity of water over sucrose (from memory) with the heat of fusion of TEOS-10; handbook values are printed to 0.01 K",
)
def _(row):
    fusion = gsw.latentheat_melting(0.0, 0.0) * 18.01528e-3  # J/mol
    pure = float(gsw.t_freezing(0.0, 0.0, 1.0))  # water saturated with air
    drop = 37.9  # J/(mol K): heat capacity of water less that of ice

    def value(brix):
        sugar = brix / 342.297
        x = sugar / (sugar + (100 - brix) / 18.01528)
        activity = np.log(1 - x) - 6.47 * x * x
        melt = pure + 273.15

        def balance(kelvin):
            # Heat of fusion falls with the heat capacity on the way down.
            steep = fusion - drop * melt
            return steep / R * (1 / melt - 1 / kelvin) + drop / R * np.log(kelvin / melt) - activity

        return brentq(balance, 265.0, melt + 1e-9) - 273.15 if brix > 0 else pure

    return each(value, row["brix"])
