"""Air in water."""

import numpy as np
from CoolProp.CoolProp import PropsSI
from fluids import ATMOSPHERE_1976
from iapws._iapws import _Henry
from scipy.integrate import solve_ivp
from scipy.optimize import brentq

from checks.properties import GASES, MOLAR, SHARE, cold_gas, density, vapour
from registry import absolute, check, each, relative, relative_by

FITTED = dict(nitrogen=("N2", 278.12), oxygen=("O2", 274.15), argon=("Ar", 273.19))


def g704(gas, t, pascal):
    """mg/L under moist air by IAPWS G7-04; NaN below the range it was fitted to."""
    name, lowest = FITTED[gas]
    if t + 273.15 < lowest:
        return float("nan")
    henry = _Henry(t + 273.15, name) * 10  # bar
    partial = SHARE[gas] * max(pascal - vapour(t), 0.0) / 1e5
    return density(t) / 18.01528 * MOLAR[gas] * 1000 * partial / henry


def measured(gas, t, pascal):
    """mg/L under moist air by measurements in cold water; NaN where there are none."""
    if t > 30:
        return float("nan")
    return cold_gas(gas, t) * SHARE[gas] * (pascal - vapour(t)) / 1e5


def of(gas, function):
    return lambda row: each(lambda t, p: function(gas, t, p * 1e5), row["t_C"], row["p_bar"])


COLD = {
    "nitrogen": (
        "scipy",
        relative(1.5e-2),
        "Weiss 1970 (looked up): older measurements, which the authors of the newer ones found 1 % low",
    ),
    "oxygen": (
        "gsw",
        relative(3e-3),
        "another fit of the same measurements (Garcia & Gordon), 0.2 %; the model leaves them from 30 °C on",
    ),
    "argon": ("scipy", relative(1.2e-2), "Weiss 1970 (from memory): older measurements"),
}


def hot_or_cold(gas, off):
    """G7-04 is far off in cold water; from 50 °C on the model uses it itself."""
    return relative_by(
        f"0.2 %, {100 * off:g} % below 50 °C", lambda row: np.where(row["t_C"] >= 50, 2e-3, off)
    )


for name in GASES:
    library, tolerance, why = COLD[name]
    check(f"air_{name}", library, tolerance, why)(of(name, measured))
    check(
        f"air_{name}",
        "iapws",
        hot_or_cold(name, {"nitrogen": 0.03, "oxygen": 0.015, "argon": 0.025}[name]),
        "the same guideline G7-04 when hot; cold it is a fit whose stated RMS error is about 3 %",
    )(of(name, g704))


@check(
    "air_after_heating",
    "iapws + CoolProp + fluids",
    relative_by(
        "0.3 %, more within 1 K of the boil", lambda row: np.where(row["model"] > 1.0, 3e-3, 2e-2)
    ),
    "the same guideline; near the boil the small difference of two pressures decides",
)
def _(row):
    def value(t, z):
        pascal = ATMOSPHERE_1976(z).P
        return sum(g704(gas, t, pascal) for gas in GASES)

    return each(value, row["t_C"], row["z_m"])


@check(
    "air_removal_temperature",
    "gsw + iapws + scipy",
    absolute(0.6, "K"),
    "the model passes from cold to hot data between 30 and 50 °C in another way, 0.4 % of the air",
)
def _(row):
    def value(share, start, bar):
        pascal = bar * 1e5
        boil = PropsSI("T", "P", pascal, "Q", 0, "Water") - 273.15

        def content(t):
            cold = sum(measured(gas, min(t, 30.0), pascal) for gas in GASES)
            if t <= 30:
                return cold
            hot = sum(g704(gas, t, pascal) for gas in GASES)
            if t >= 50:
                return hot
            # Between the two kinds of data: nitrogen and the others as straight logarithms.
            edge = sum(g704(gas, 50.0, pascal) for gas in GASES)
            return np.exp(np.interp(t, [30.0, 50.0], np.log([cold, edge])))

        keep = content(start) * (1 - share)
        return brentq(lambda t: content(t) - keep, start, boil - 1e-6)

    return each(value, row["share"], row["from_C"], row["p_bar"])


@check(
    "air_reaeration",
    "gsw + scipy",
    relative(1e-2),
    "the saturation content of other measurements; integrated step by step",
)
def _(row):
    def value(t, depth, transfer, start, hours):
        full = sum(measured(gas, t, 101325.0) for gas in GASES)
        rate = transfer / depth
        found = solve_ivp(
            lambda _, c: rate * (full - c), (0, hours * 3600), [start], rtol=1e-9, atol=1e-9
        )
        return found.y[0, -1]

    columns = ("t_C", "depth_m", "transfer_m_s", "start_mg_L", "hours")
    return each(value, *(row[name] for name in columns))
