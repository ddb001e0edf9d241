"""CO2: as a gas, in its cylinder, and in water."""

import CoolProp
import numpy as np
from CoolProp.CoolProp import PropsSI
from PyCO2SYS import equilibria
from scipy.optimize import brentq

from checks.properties import (
    ATM,
    CO2,
    density,
    dissolved,
    fugacity_coefficient,
    gas_density,
    solubility,
)
from registry import absolute, check, each, relative, relative_by


def by_pressure(row):
    return np.where(row["p_bar"] <= 11.1, 0.004, 0.012)


VIRIAL = "a virial equation cut after the second coefficient: 0.3 % to 11 bar, 1.2 % to 20 bar"


@check("co2_gas_density", "CoolProp", relative_by("0.4 %, 1.2 % above 11 bar", by_pressure), VIRIAL)
def _(row):
    return each(lambda t, p: gas_density(t, p * 1e5), row["t_C"], row["p_bar"])


@check(
    "co2_fugacity_coefficient",
    "CoolProp",
    relative_by("0.4 %, 1.2 % above 11 bar", by_pressure),
    VIRIAL,
)
def _(row):
    return each(lambda t, p: fugacity_coefficient(t, p * 1e5), row["t_C"], row["p_bar"])


@check(
    "co2_second_virial",
    "CoolProp",
    relative(7e-3),
    "uncertainty of measured second virial coefficients, 0.5 to 1 %",
)
def _(row):
    state = CoolProp.AbstractState("HEOS", "CO2")

    def value(t):
        state.update(CoolProp.DmolarT_INPUTS, 1e-3, t + 273.15)
        return state.Bvirial() * 1e6

    return each(value, row["t_C"])


@check("co2_one_volume", "CoolProp", relative(1e-4), "printed to four digits")
def _(row):
    return each(lambda t: gas_density(t, ATM), row["t_C"])


def saturated(name, quality):
    return lambda t: PropsSI(name, "T", t + 273.15, "Q", quality, "CO2")


@check(
    "co2_vapour_pressure",
    "CoolProp",
    relative(1e-3),
    "Span & Wagner's short equation against their equation of state",
)
def _(row):
    return each(saturated("P", 0), row["t_C"]) / 1e5


@check("co2_liquid_density", "CoolProp", relative(1e-3), "as for the vapour pressure")
def _(row):
    return each(saturated("D", 0), row["t_C"])


@check("co2_vapour_density", "CoolProp", relative(1e-3), "as for the vapour pressure")
def _(row):
    return each(saturated("D", 1), row["t_C"])


@check(
    "co2_latent_heat",
    "CoolProp",
    relative(2e-3),
    "Clausius and Clapeyron with the three short equations",
)
def _(row):
    return (each(saturated("H", 1), row["t_C"]) - each(saturated("H", 0), row["t_C"])) / 1000


@check("cylinder_draw_off", "CoolProp", relative(2e-3), "as for the latent heat")
def _(row):
    latent = each(saturated("H", 1), row["coldest_C"]) - each(saturated("H", 0), row["coldest_C"])
    return row["ua_W_K"] * (row["room_C"] - row["coldest_C"]) / latent * 3600


@check("co2_room_ppm", "CoolProp", relative(1e-3), "gas density at 20 °C; room of 50 m³")
def _(row):
    return row["kg"] / gas_density(20.0, ATM) / 50 * 1e6


@check("co2_solubility", "PyCO2SYS", relative(1e-6), "the same formula, Weiss 1974")
def _(row):
    return each(solubility, row["t_C"])


@check(
    "co2_dissolved",
    "PyCO2SYS + CoolProp + iapws",
    relative(5e-3),
    "a fifth of the 2.5 % the model is quoted with; the two differ in fugacity and density",
)
def _(row):
    return each(dissolved, row["t_C"], row["total_bar"], row["air_bar"])


@check(
    "co2_pressure_for",
    "PyCO2SYS + CoolProp + scipy",
    relative(5e-3),
    "as for what is dissolved, solved for the pressure",
)
def _(row):
    def value(t, grams, air):
        return brentq(lambda bar: dissolved(t, bar, air) - grams, 0.01, 19.0, xtol=1e-9)

    return each(value, row["t_C"], row["g_per_L"], row["air_bar"])


@check(
    "carbonated_ph",
    "PyCO2SYS",
    absolute(0.01, "pH"),
    "another fit of the ionisation, Millero 1979; each 0.005 uncertain",
)
def _(row):
    def value(t, grams):
        kelvin = t + 273.15
        molality = grams / (CO2 * 1000) / (density(t) / 1000)
        acid = float(equilibria.p1atm.kH2CO3_SWS_M79(kelvin, 0.0)[0])
        water = float(equilibria.p1atm.kH2O_SWS_M79(kelvin, 0.0))
        # H = HCO3 + OH, solved as a cubic would be: K1 m / H + Kw / H.
        return -np.log10(brentq(lambda h: h - (acid * molality + water) / h, 1e-9, 1e-1))

    return each(value, row["t_C"], row["g_per_L"])
