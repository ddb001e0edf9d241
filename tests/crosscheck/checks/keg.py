"""The gas of a keg, and of one that is sealed and warms."""

from scipy.optimize import brentq

from checks.properties import ATM, density, dissolved, gas_density, vapour
from registry import check, each, relative

BRIM = 19.5
LIBRARIES = "PyCO2SYS + CoolProp"
COLUMNS = ("t_C", "gauge_bar", "purge_bar", "purges", "liquid_L")


@check("gas_dissolved", LIBRARIES, relative(5e-3), "as for what is dissolved")
def _(row):
    def value(t, gauge, purge, purges, litres):
        return dissolved(t, gauge + 1.01325, 0.0) * litres

    return each(value, *(row[name] for name in COLUMNS))


@check("gas_besides", "CoolProp", relative(3e-3), "gas density to 5 bar")
def _(row):
    def value(t, gauge, purge, purges, litres):
        held = gas_density(t, gauge * 1e5 + ATM)
        vented = gas_density(t, purge * 1e5 + ATM) - gas_density(t, ATM)
        return held * BRIM + purges * vented * (BRIM - litres)

    return each(value, *(row[name] for name in COLUMNS))


@check(
    "sealed_keg_pressure",
    LIBRARIES + " + scipy",
    relative(1e-2),
    "0.5 % of what is dissolved, twice",
)
def _(row):
    def grams(t, bar, litres):
        gas = gas_density(t, max((bar * 1e5 - vapour(t)), 1.0))
        return dissolved(t, bar, 0.0) * litres + gas * (BRIM - litres)

    def value(cold, gauge, litres, warm):
        kept = grams(cold, gauge + 1.01325, litres)
        swollen = litres * density(cold) / density(warm)
        return brentq(lambda bar: grams(warm, bar, swollen) - kept, 0.05, 20.0) - 1.01325

    return each(value, *(row[name] for name in ("cold_C", "gauge_bar", "liquid_L", "warm_C")))
