"""What several checks need: properties of water, CO2 and gases dissolved in water."""

from functools import lru_cache

import CoolProp
import gsw
import numpy as np
from CoolProp.CoolProp import PropsSI
from PyCO2SYS import equilibria
from iapws._iapws import _Liquid

ATM = 101325.0
R = 8.314462618
CO2 = 44.0095e-3  # kg/mol
EOS = CoolProp.AbstractState("HEOS", "CO2")


@lru_cache(maxsize=None)
def vapour(t):
    """Vapour pressure of water, Pa; IAPWS-95, and for supercooled water an extrapolation."""
    if t >= 0.01:
        return PropsSI("P", "T", t + 273.15, "Q", 0, "Water")
    # Supercooled: Clausius and Clapeyron from the triple point.
    return 611.657 * np.exp(2.5009e6 / 461.52 * (1 / 273.16 - 1 / (t + 273.15)))


@lru_cache(maxsize=None)
def density(t):
    """Density of water at one atmosphere, or under its vapour where it boils, kg/m³."""
    if t < 0.02:
        return _Liquid(t + 273.15, 0.101325)["rho"]
    pressure = max(ATM, 1.0001 * vapour(t))
    return PropsSI("D", "T", t + 273.15, "P", pressure, "Water")


@lru_cache(maxsize=None)
def heat(t):
    """Enthalpy of liquid water at one atmosphere, J/kg; zero near the triple point."""
    if t < 0.02:
        return heat(0.02) - (0.02 - t) * 4219.0
    pressure = max(ATM, 1.0001 * vapour(t))
    return PropsSI("H", "T", t + 273.15, "P", pressure, "Water")


@lru_cache(maxsize=None)
def gas_density(t, pascal):
    """Density of CO2, kg/m³; Span & Wagner 1996."""
    EOS.update(CoolProp.PT_INPUTS, pascal, t + 273.15)
    return EOS.rhomass()


@lru_cache(maxsize=None)
def fugacity_coefficient(t, pascal):
    """Of CO2; Span & Wagner 1996."""
    EOS.update(CoolProp.PT_INPUTS, pascal, t + 273.15)
    return EOS.fugacity_coefficient(0)


@lru_cache(maxsize=None)
def solubility(t):
    """mol of CO2 in a kg of fresh water per atm of fugacity; PyCO2SYS, Weiss 1974."""
    return float(equilibria.p1atm.kCO2_W74(t + 273.15, 0.0))


def dissolved(t, bar, air):
    """g/L of CO2 under a total pressure, part of which is air, bar.

    Weiss's solubility and the effect of pressure on it from PyCO2SYS; the fugacity of Span &
    Wagner, by the rule of Lewis; density of IAPWS-95.
    """
    squeeze = equilibria.pcx.kCO2_factor(t + 273.15, 0.0, 10 * R, bar / 1.01325)
    partial = bar - vapour(t) / 1e5 - air
    if partial <= 0:
        return 0.0
    molality = solubility(t) * partial / 1.01325 * squeeze
    molality *= fugacity_coefficient(t, bar * 1e5)
    litre = density(t) / 1000  # kg of water
    return molality * CO2 * 1000 * litre / (1 + molality * 32.3e-3 * litre)


# ----- air ------------------------------------------------------------------------------------

GASES = ("nitrogen", "oxygen", "argon")
SHARE = dict(nitrogen=0.78084, oxygen=0.20946, argon=0.00934)
MOLAR = dict(nitrogen=28.0134, oxygen=31.9988, argon=39.948)

# Weiss 1970, Deep-Sea Res. 17:721, mL(STP)/L under moist air of one atmosphere. Older data than
# those of the model (Douglas 1964, Murray et al. 1969), good to 0.4 %; looked up.
WEISS_1970 = dict(
    nitrogen=(-172.4965, 248.4262, 143.0738, -21.7120),
    argon=(-173.5146, 245.4510, 141.8222, -21.8020),
)
MOLAR_VOLUME = dict(nitrogen=22.3919, argon=22.3869)  # L/mol at 0 °C and 1 atm


@lru_cache(maxsize=None)
def cold_gas(gas, t):
    """mg/L for each bar of its partial pressure, from measurements in cold water."""
    if gas == "oxygen":
        content = float(gsw.O2sol_SP_pt(0.0, t)) * 1e-6 * MOLAR[gas] * density(t)
    else:
        a, b, c, d = WEISS_1970[gas]
        hundred = (t + 273.15) / 100
        millilitres = np.exp(a + b / hundred + c * np.log(hundred) + d * hundred)
        content = millilitres / MOLAR_VOLUME[gas] * MOLAR[gas]
    return content / (SHARE[gas] * (ATM - vapour(t)) / 1e5)
