"""Units people use."""

from scipy import constants as c

from registry import check, each, relative

# In the order of `UNITS` in the Rust test: psi, inHg, US gallon, US fluid ounce, pound, foot, °F,
# Btu/h, kWh.
UNITS = [
    lambda value: value * c.psi / c.bar,
    lambda value: value * 25.4 * c.mmHg / c.bar,
    lambda value: value * c.gallon_US / c.liter,
    lambda value: value * c.fluid_ounce_US / c.liter,
    lambda value: value * c.pound,
    lambda value: value * c.foot,
    lambda value: float(c.convert_temperature(value, "Fahrenheit", "Kelvin")),
    lambda value: value * c.Btu_IT / c.hour,
    lambda value: value * c.kilo * c.hour,
]


@check(
    "units",
    "scipy",
    relative(3e-6),
    "definitions; an inch of mercury is rounded to six digits, 3386.38 Pa",
)
def _(row):
    return each(lambda unit, value: UNITS[int(unit)](value), row["unit"], row["value"])
