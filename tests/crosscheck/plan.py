"""Derives every number of a plan's work a second time, from the scenario alone.

usage: plan.py FOLDER

FOLDER holds pairs of files, NAME.scenario.json and NAME.plan.json. What a plan decides is taken as
given: which pot, how many litres and kegs, when, how long a keg rests. What follows from it by
physics is worked out with general-purpose libraries (CoolProp, iapws, fluids, ht, PyCO2SYS, gsw,
scipy) and held against what the plan says. Prints a table of the largest deviations, or every
number that is off (exit code 1).
"""

import json
import sys
from collections import defaultdict
from datetime import datetime
from functools import lru_cache
from pathlib import Path

sys.path.insert(0, str(Path(__file__).parent))

import numpy as np  # noqa: E402
from fluids import ATMOSPHERE_1976  # noqa: E402
from iapws._iapws import _Ice  # noqa: E402
from scipy.constants import g, sigma  # noqa: E402
from scipy.integrate import solve_ivp  # noqa: E402

from checks.air import g704, measured  # noqa: E402
from checks.convection import forced, free  # noqa: E402
from checks.properties import (  # noqa: E402
    ATM,
    CO2,
    GASES,
    MOLAR,
    R,
    SHARE,
    cold_gas,
    density,
    dissolved,
    gas_density,
    heat,
    vapour,
)

STEEL = 500.0  # J/(kg K), stainless steel (handbooks: 490 to 510)
EMISSIVITY = {"steel": 0.2, "pet": 0.9}  # handbooks
INNER = 0.215 / 0.220  # inner over outer width of a 19 L keg
CALM = 2.07e-2 / 3600  # m/s at Sc = 600: Cole & Caraco 1998, a calm lake
REMOVES = {"sodium_ascorbate": 2.79, "ascorbic_acid": 2.48}  # mg per mg of Cl2, one to one molar
SHAKEN_DONE = 0.97


def when(text):
    return datetime.fromisoformat(text).timestamp() / 60


# ----- water ------------------------------------------------------------------------------------


def ice_heat(t):
    return _Ice(min(t, 0.0) + 273.15, 0.101325)["h"] * 1000


def air_full(t, pascal):
    """Air in saturated water, mg/L; measured data to 30 °C, G7-04 from 50 °C on."""
    if t <= 30:
        return sum(measured(gas, t, pascal) for gas in GASES)
    hot = sum(g704(gas, max(t, 50.0), pascal) for gas in GASES)
    if t >= 50:
        return hot
    edge = sum(measured(gas, 30.0, pascal) for gas in GASES)
    return float(np.exp(np.interp(t, [30, 50], np.log([edge, hot]))))


def still_surface(t):
    """m/s; Schmidt number of nitrogen in fresh water, Wanninkhof 1992 (from memory)."""
    t = min(max(t, 0.0), 30.0)
    schmidt = 1970.7 - 131.45 * t + 4.139 * t**2 - 0.052106 * t**3
    return CALM * (schmidt / 600) ** -0.5


# ----- a keg ------------------------------------------------------------------------------------


class Keg:
    """A keg type in a store."""

    def __init__(self, site, keg, store):
        self.site, self.keg, self.store = site, keg, store
        self.litres, self.brim = keg["fill_l"], keg["brim_l"]
        self.around, self.speed = store["air_c"], store["air_speed_m_per_s"]
        self.wide, self.high = keg["diameter_m"], keg["height_m"]
        self.surface = np.pi / 4 * (self.wide * INNER) ** 2

    def conductance(self, t):
        pascal = self.site.pascal
        still = free(t, self.around, self.high, pascal)
        blown = forced(t, self.around, self.wide, self.speed, pascal) if self.speed > 0 else 0.0
        hot, cold = t + 273.15, self.around + 273.15
        emissivity = EMISSIVITY[self.keg.get("material", "steel")]
        radiation = emissivity * sigma * (hot**2 + cold**2) * (hot + cold)
        area = np.pi * self.wide * self.high + np.pi * self.wide**2 / 2
        return ((still**3 + blown**3) ** (1 / 3) + radiation) * area

    def capacity(self, t):
        water = self.litres * 0.99997
        return water * (heat(t + 0.5) - heat(t - 0.5)) + STEEL * self.keg["empty_kg"]

    @lru_cache(maxsize=None)
    def course(self, start):
        """Temperature by minutes."""
        grid = np.linspace(-1.0, 100.0, 203)
        rate = [
            self.conductance(t + 1e-4) * (t - self.around) / self.capacity(min(max(t, 0.6), 99.0))
            for t in grid
        ]

        def slope(_, y):
            return -np.interp(y, grid, rate)

        week = 15 * 24 * 3600.0
        sol = solve_ivp(slope, (0, week), [start], dense_output=True, rtol=1e-7, atol=1e-7).sol
        return lambda minutes: float(sol(min(minutes * 60, week))[0])

    def waited(self, start, air, minutes, step=10.0):
        """Temperature, air and CO2 of a keg that was filled and waits."""
        course, co2, at = self.course(start), 0.0, 0.0
        blanket = self.site.policy.get("blanket_bar")
        metres = self.litres / 1000 / self.surface
        while at < minutes - 1e-9:
            dt = min(step, minutes - at)
            t = course(at + dt / 2)
            if blanket is None:
                full = air_full(t, self.site.pascal)
                air += (full - air) * (1 - np.exp(-still_surface(t) / metres * dt * 60))
            elif t <= 40:
                full = dissolved(t, blanket + self.site.pascal / 1e5, 0.0)
                co2 = self.taken_up(t, co2, full, dt * 60)
            at += dt
        return course(minutes), air, co2

    def transfer(self, t):
        """m/s over the cube root of the gap in g/L: Sh = 0.15 Ra^(1/3), diffusion of Jähne."""
        from CoolProp.CoolProp import PropsSI

        kelvin = t + 273.15
        diffusion = 5019e-9 * np.exp(-19510 / (R * kelvin))
        viscosity = PropsSI("V", "T", max(kelvin, 273.17), "P", ATM, "Water")
        heavier = 1 - density(t) * 32.3e-6 / CO2
        return 0.15 * diffusion * (g * heavier / viscosity / diffusion) ** (1 / 3)

    def taken_up(self, t, co2, full, seconds):
        gap = full - co2
        if gap <= 0:
            return co2
        strength = self.transfer(t) * self.surface / (self.litres / 1000)
        return full - (gap ** (-1 / 3) + strength * seconds / 3) ** -3

    def air_left(self, t, air):
        """Partial pressure of air after the site's purges, bar."""
        policy, pascal = self.site.policy, self.site.pascal
        weights = {gas: cold_gas(gas, t) * SHARE[gas] for gas in GASES}
        total = 0.0
        for gas in GASES:
            room = (self.brim - self.litres) * 1e-3
            per_bar = 1e5 * room / (R * (t + 273.15)) * MOLAR[gas] * 1000
            kept = (pascal / (pascal + policy["purge_bar"] * 1e5)) ** policy["purges"]
            above = per_bar * SHARE[gas] * (pascal - vapour(t)) / 1e5 * kept
            inside = self.litres * air * weights[gas] / sum(weights.values())
            total += (above + inside) / (per_bar + cold_gas(gas, t) * self.litres)
        return total

    def equilibrium(self, t, bar, air, product):
        """g/L kept at a gauge pressure, with sugar's part as fitted to Usher 1910."""
        plain = dissolved(t, bar + self.site.pascal / 1e5, self.air_left(t, air))
        return plain * self.site.sugar(product)

    def rested(self, state, minutes, bar, product, step=15.0):
        start, air, co2 = state
        course, at = self.course(round(start, 3)), 0.0
        while at < minutes - 1e-9:
            dt = min(step, minutes - at)
            t = course(at + dt / 2)
            co2 = self.taken_up(t, co2, self.equilibrium(t, bar, air, product), dt * 60)
            at += dt
        return co2

    def gas(self, t, bar, purges):
        """kg of CO2 in the headspace at a gauge pressure, and for purges."""
        pascal, room = self.site.pascal, (self.brim - self.litres) * 1e-3
        purge = self.site.policy["purge_bar"] * 1e5
        # The air that the first brings up to pressure and out is not CO2.
        up, down = gas_density(t, pascal + purge), gas_density(t, pascal)
        above = gas_density(t, pascal + bar * 1e5) * room
        return above, purges * (up - down) * room


class Site:
    def __init__(self, scenario):
        self.scenario, self.policy = scenario, scenario["policy"]
        self.setup = scenario["setup"]
        self.pascal = ATMOSPHERE_1976(scenario["site"]["elevation_m"]).P
        self.kegs = {}

    def named(self, kind, name):
        return next(entry for entry in self.setup[kind] if entry["id"] == name)

    def keg(self, step):
        key = (step["keg_type"], step["store"])
        if key not in self.kegs:
            keg, store = self.named("keg_types", key[0]), self.named("cold_stores", key[1])
            self.kegs[key] = Keg(self, keg, store)
        return self.kegs[key]

    def sugar(self, product):
        """Part of the CO2 that a sweet drink takes up: 10^(-0.13 c), c in mol/L of sucrose."""
        brix = product.get("sugar_brix", 0.0)
        # Density of sucrose solutions at 20 °C, a fit of ICUMSA's table (from memory): 1 + 0.0039 Bx.
        moles = brix / 100 * (1 + 0.0039 * brix) * 1000 / 342.3
        return 10 ** (-0.13 * moles)


# ----- what a plan says, and what follows -------------------------------------------------------


class Report:
    """The largest deviation of each number."""

    def __init__(self):
        self.worst, self.counts, self.complaints = {}, defaultdict(int), []

    def hold(self, what, place, said, derived, allowed):
        self.counts[what] += 1
        used = abs(said - derived) / allowed
        if used > self.worst.get(what, (-1,))[0]:
            self.worst[what] = (used, place, said, derived, allowed)
        if used > 1 + 1e-9:
            self.complaints.append(
                f"{place}: {what} is said to be {said:g}, follows as {derived:.5g}; "
                f"allowed is {allowed:.3g}"
            )

    def table(self):
        for what, (used, place, said, derived, allowed) in sorted(self.worst.items()):
            yield (
                f"| {what} | {self.counts[what]} | {said:g} | {derived:.4g} | {allowed:.2g} "
                f"| {100 * used:.0f} % | {place} |"
            )


def boil(site, place, step, report):
    """Water, ice, agent, minutes and air of a boil that makes what it is said to make."""
    route, pot = site.named("routes", step["route"]), site.named("pots", step["pot"])
    water, ice = site.scenario["site"]["water"], site.setup["ice"]
    hot, tap_c = route["heat_to_c"], water["temperature_c"]
    chill, made = route["chill"], step["makes_l"]
    end = chill.get("to_c", hot)
    steel = STEEL * pot["empty_kg"]
    factor = ice.get("factor") or 1.0
    ice_kg = bath_kg = 0.0
    if chill["kind"] == "ice_in_water":
        mass = made * 0.99997
        # hot (h1 - h2) + steel = ice / factor (h2 - h_ice), hot + ice = mass; what of the ice is
        # water already has the temperature it ends with, near enough.
        down = heat(hot) - heat(end)
        cold = heat(end) - ice_heat(ice["temperature_c"])
        ice_kg = (mass * down + steel * (hot - end)) / (cold / factor + down)
        hot_kg = mass - ice_kg
    else:
        hot_kg = made * density(end) / 1000
        if chill["kind"] == "ice_bath":
            given = hot_kg * (heat(hot) - heat(end)) + steel * (hot - end)
            bath_kg = factor * given / (heat(0.0) - ice_heat(ice["temperature_c"]))
            bath_kg += chill["extra_ice_kg"]
    tap_l = hot_kg / density(tap_c) * 1000
    report.hold("tap water, L", place, step["tap_l"], tap_l, 0.05 + 0.003 * tap_l)
    report.hold("ice in water, kg", place, step["ice_in_kg"], ice_kg, 0.1 + 0.005 * ice_kg)
    report.hold("ice around, kg", place, step["ice_bath_kg"], bath_kg, 0.1 + 0.01 * bath_kg)
    power = pot["power_w"] * pot["efficiency"]
    minutes = (hot_kg * (heat(hot) - heat(tap_c)) + steel * (hot - tap_c)) / power / 60
    report.hold("heating, min", place, step["heating_min"], minutes, 0.1 + 0.005 * minutes)
    bare = tap_l + (0.0 if ice.get("from_treated_water") else ice_kg / density(tap_c) * 1000)
    margin = 1 + site.policy["agent_margin"]
    agent = water["total_chlorine_mg_per_l"] * bare * REMOVES[site.policy["agent"]] * margin / 1000
    # Rounded up to a millilitre of a solution of 10 g/L; water that ice takes the place of since it
    # cools the pot's steel is dosed for too.
    report.hold("agent, g", place, step["agent_g"], agent + 0.005, 0.006 + 0.02 * agent)
    left = sum(g704(gas, hot, site.pascal) for gas in GASES) * density(4.0) / density(hot)
    air = (left * hot_kg + ice["air_mg_per_kg"] * ice_kg) / (hot_kg + ice_kg)
    report.hold("air after boiling, mg/L", place, step["air_mg_per_l"], air, 0.1 + 0.02 * air)
    return air


def fallen(site, t, air):
    """Air after a fall into the keg: Butts & Evans 1983, for clean water (from memory)."""
    height = site.policy.get("fall_m")
    if height is None:
        return air
    ratio = 1 + 0.38 * 1.8 * height * (1 - 0.11 * height) * (1 + 0.046 * min(max(t, 0), 30))
    full = air_full(t, site.pascal)
    return full - (full - air) / ratio


def coupled(site, step, start, fills):
    """The states of a gassing's kegs: temperature, air and CO2; none where one is from stock."""
    keg, states = site.keg(step), []
    for source in step["from"]:
        fill = fills.get(source.get("item"))
        if fill is None or fill["air"] is None:
            return None
        waits = start - fill["full"]
        states.append(keg.waited(fill["at_c"], fill["air"], waits))
    return states


def gassing(site, place, item, step, fills, report):
    """What a keg has taken up, is kept at and costs in CO2. Its air, where it is known."""
    states = coupled(site, step, when(item["start"]), fills)
    if not states:
        return None
    keg, product = site.keg(step), site.named("products", step["product"])
    station = site.named("gas_stations", step["station"])
    target, bar = product["carbonation_g_per_l"], step["regulator_bar"]
    airs = [air for _, air, _ in states]
    air = (min(airs) + max(airs)) / 2
    if step.get("air_mg_per_l") is not None:
        report.hold("air when gassed, mg/L", place, step["air_mg_per_l"], air, 0.3 + 0.02 * air)
    contents = []
    for state in states:
        if station["method"]["kind"] == "shaken":
            full = keg.equilibrium(state[0], bar, state[1], product)
            seconds = step["uptake_min"] * 60
            decay = np.exp(-station["method"]["kla_per_s"] * seconds)
            contents.append(full - (full - state[2]) * decay)
        else:
            contents.append(keg.rested(state, step["uptake_min"], bar, product))
    wanted = target * (SHAKEN_DONE if station["method"]["kind"] == "shaken" else 1.0)
    mark = 0.025 / (bar + 1.0) * target  # half of a gauge's mark
    for content in contents:
        report.hold("CO2 taken up, g/L", place, content, wanted, 0.03 * target + mark)
    cold, mark = keg.around, 0.025 / (step["hold_bar"] + 1.0) * target
    for each in airs:
        kept = keg.equilibrium(cold, step["hold_bar"], each, product)
        report.hold("CO2 held, g/L", place, kept, target, 0.03 * target + mark)
    middle = [sum(s[n] for s in states) / len(states) for n in (0, 2)]
    above, purged = keg.gas(middle[0], bar, step["purges"])
    grams = 1000 * (above + purged) + (target - middle[1]) * keg.litres
    report.hold("CO2 used, g", place, step["co2_g_each"], grams, 0.5 + 0.03 * grams)
    return airs


def tapped(site, place, step, aired, report):
    keg, product = site.keg(step), site.named("products", step["product"])
    target = product["carbonation_g_per_l"]
    at = max(keg.around, site.policy.get("tap_c") or keg.around)
    airs = [air for source in step["from"] for air in aired.get(source.get("item")) or []]
    if not airs:
        return
    # One pressure for all of them: it is right for the middle, and the others keep what they came
    # with in the hours of a service.
    middle = (min(airs) + max(airs)) / 2
    kept = keg.equilibrium(at, step["serve_bar"], middle, product)
    mark = 0.025 / (step["serve_bar"] + 1.0) * target
    report.hold("CO2 at the tap, g/L", place, kept, target, 0.03 * target + mark)


def derive(name, scenario, plan, report):
    site = Site(scenario)
    boils, fills, aired = {}, {}, {}
    grid = plan["grid_minutes"]
    for item in sorted(plan["work"], key=lambda item: (when(item["start"]), item["id"])):
        place, step = f"{name} {item['id']}", item["step"] if "step" in item else item
        kind = step["kind"]
        if kind == "boil":
            boils[item["id"]] = boil(site, place, step, report)
        elif kind == "fill":
            airs = [boils.get(boil) for boil in step["from"]]
            known = airs and None not in airs
            fills[item["id"]] = dict(
                at_c=step["at_c"],
                full=when(item["start"]) + grid,
                air=fallen(site, step["at_c"], sum(airs) / len(airs)) if known else None,
            )
            if known and step.get("air_mg_per_l") is not None:
                air = fills[item["id"]]["air"]
                report.hold("air filled, mg/L", place, step["air_mg_per_l"], air, 0.3 + 0.03 * air)
            keg = site.keg(step)
            said = when(step["cold_at"]) - fills[item["id"]]["full"]
            limit = site.policy["gas_at_c"]
            then, before = (keg.course(step["at_c"])(m) for m in (said, max(said - 2 * grid, 0)))
            report.hold("°C when cold", place, max(then, limit), limit, 0.05)
            if said > 2 * grid:
                # Not two steps too late either.
                report.hold("°C two steps before", place, min(before, limit), limit, 0.1)
        elif kind == "gas":
            aired[item["id"]] = gassing(site, place, item, step, fills, report)
        elif kind == "tap":
            tapped(site, place, step, aired, report)


def main(folder):
    report = Report()
    for path in sorted(Path(folder).glob("*.scenario.json")):
        name = path.name.removesuffix(".scenario.json")
        plan = json.loads((path.parent / f"{name}.plan.json").read_text())
        derive(name, json.loads(path.read_text()), plan, report)
    if report.complaints:
        print(*report.complaints, sep="\n")
        return 1
    print(*report.table(), sep="\n")
    return 0


if __name__ == "__main__":
    sys.exit(main(sys.argv[1]))
