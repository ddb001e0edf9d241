"""What is compared with what, and how far apart the two may be."""

from collections import namedtuple

import numpy as np

Check = namedtuple("Check", "quantity library tolerance why function")
CHECKS = []


def check(quantity, library, tolerance, why):
    """Registers a function that works out a quantity from the columns of its sheet.

    It returns an array, with NaN where the library does not reach. `tolerance` is made by
    `relative` or `absolute`; `why` says where it comes from.
    """

    def register(function):
        CHECKS.append(Check(quantity, library, tolerance, why, function))
        return function

    return register


class Tolerance:
    """How far a value may be from the library's, as a text and as an array."""

    def __init__(self, text, allowed, is_relative):
        self.text, self.allowed, self.is_relative = text, allowed, is_relative


def relative(share):
    return Tolerance(f"{100 * share:g} %", lambda row, value: share * np.abs(value), True)


def absolute(most, unit):
    return Tolerance(f"{most:g} {unit}", lambda row, value: np.full(len(value), most), False)


def relative_by(text, share):
    """A share that depends on the conditions: `share(row)` gives an array."""
    return Tolerance(text, lambda row, value: share(row) * np.abs(value), True)


def each(function, *columns):
    """Calls a function of plain numbers along columns."""
    return np.array([function(*numbers) for numbers in zip(*columns)], dtype=float)
