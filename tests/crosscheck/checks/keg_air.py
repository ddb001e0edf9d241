"""Air shut in a keg: Dalton and Henry, gas by gas, purge by purge."""

from functools import lru_cache

from scipy.optimize import brentq

from checks.properties import ATM, GASES, MOLAR, R, SHARE, cold_gas, vapour
from registry import absolute, check, each

BRIM, SEA_LEVEL = 19.5, 1.01325
COLUMNS = ("liquid_L", "air_mg_L", "t_C", "purge_bar", "purges", "shaken")


@lru_cache(maxsize=None)
def shut_in(liquid, air, t, gauge, purges, shaken):
    """Partial pressure of air once headspace and liquid agree, bar."""
    weights = {gas: cold_gas(gas, t) * SHARE[gas] for gas in GASES}
    total = 0.0
    for gas in GASES:
        per_bar = 1e5 * (BRIM - liquid) * 1e-3 / (R * (t + 273.15)) * MOLAR[gas] * 1000  # mg
        headspace = per_bar * SHARE[gas] * (SEA_LEVEL - vapour(t) / 1e5)
        water = air * liquid * weights[gas] / sum(weights.values())

        def agreed(amount):
            """Pressure at which both together hold this many mg."""
            hold = (
                lambda bar: per_bar * bar + cold_gas(gas, t) * liquid * bar - amount
            )  # noqa: E731
            return brentq(hold, 0.0, 20.0, xtol=1e-14, rtol=1e-12)

        for purge in range(int(purges)):
            headspace *= SEA_LEVEL / (SEA_LEVEL + gauge)
            if shaken:
                bar = agreed(headspace + water)
                headspace, water = per_bar * bar, cold_gas(gas, t) * liquid * bar
        total += agreed(headspace + water)
    return total


WHY = "0.4 % of the solubility of nitrogen, by other measurements, and 0.3 % of that of oxygen"


@check("keg_air_pressure", "gsw + scipy", absolute(0.015, "bar"), WHY)
def _(row):
    return each(shut_in, *(row[name] for name in COLUMNS))


@check("co2_lost_to_air", "gsw + scipy", absolute(0.005, "of all CO2"), WHY)
def _(row):
    def value(liquid, air, t, *purging):
        room = SEA_LEVEL + 2.0 - vapour(t) / 1e5
        return min(shut_in(liquid, air, t, *purging) / room, 1.0)

    return each(value, *(row[name] for name in COLUMNS))


assert ATM == SEA_LEVEL * 1e5
