"""How CO2 gets in: the same rates, integrated by scipy."""

import numpy as np
from CoolProp.CoolProp import PropsSI
from scipy.integrate import solve_ivp

from checks.properties import ATM, CO2, R, density, gas_density
from registry import check, each, relative


def until(slope, start, end, longest):
    """Seconds until the content is reached."""

    def reached(_, c):
        return c[0] - end

    reached.terminal = True
    found = solve_ivp(
        slope, (0, longest), [start], events=reached, rtol=1e-9, atol=1e-9, method="LSODA"
    )
    return found.t_events[0][0]


@check(
    "still_keg_time",
    "CoolProp + scipy",
    relative(5e-3),
    "viscosity and density of IAPWS; diffusion of Jähne et al. in both (checked against a handbook table)",
)
def _(row):
    def value(t, start, end, full, litres):
        kelvin = t + 273.15
        diffusion = 5019e-9 * np.exp(-19510 / (R * kelvin))
        viscosity = PropsSI("V", "T", max(kelvin, 273.17), "P", ATM, "Water")
        heavier = 1 - density(t) * 32.3e-6 / CO2  # of the CO2, less the water it displaces

        def slope(_, c):
            gap = max(full - c[0], 0.0)  # g/L is kg/m³
            # Sh = 0.15 Ra^(1/3): the height of the water cancels.
            transfer = (
                0.15 * diffusion * (9.80665 * heavier * gap / viscosity / diffusion) ** (1 / 3)
            )
            return [transfer * 0.0363 / (litres / 1000) * gap]

        return until(slope, start, end, 1e10) / 3600

    columns = ("t_C", "start", "wanted", "equilibrium", "litres")
    return each(value, *(row[name] for name in columns))


@check("shaken_keg_content", "scipy", relative(1e-6), "the same law, integrated")
def _(row):
    def value(kla, start, full, minutes):
        found = solve_ivp(
            lambda _, c: kla * (full - c), (0, minutes * 60), [start], rtol=1e-11, atol=1e-11
        )
        return found.y[0, -1]

    columns = ("kla_per_s", "start", "equilibrium", "minutes")
    return each(value, *(row[name] for name in columns))


@check(
    "supplied_keg_time",
    "CoolProp + scipy",
    relative(2e-3),
    "gas density at 15 °C; integrated over the kink",
)
def _(row):
    def value(kla, flow, litres, end, full):
        supplied = flow / 60 * gas_density(15.0, ATM) / litres
        return until(lambda _, c: [min(supplied, kla * (full - c[0]))], 0.0, end, 1e8) / 60

    columns = ("kla_per_s", "flow_L_min", "litres", "wanted", "equilibrium")
    return each(value, *(row[name] for name in columns))


@check(
    "sparged_keg_coefficient",
    "CoolProp",
    relative(5e-3),
    "gas densities; correlation and diffusion are the same (from memory)",
)
def _(row):
    def value(flow, bar, t):
        shrunk = gas_density(15.0, ATM) / gas_density(t, bar * 1e5)
        velocity = flow / 60000 * shrunk / 0.0363
        diffusion = 5019e-9 * np.exp(-19510 / (R * (t + 273.15)))
        return 0.32 * velocity**0.7 * np.sqrt(diffusion / 2.0e-9) * 1000

    return each(value, row["flow_L_min"], row["p_bar"], row["t_C"])
