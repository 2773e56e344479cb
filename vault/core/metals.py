"""The precious metals that the book follows, and the densities of their common companions."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Metal:
    """A precious metal.

    Attributes:
        symbol: the chemical symbol, which is also its column in the daybook.
        name: its name in running text.
        density_g_cm3: density of the pure solid near room temperature.
        melts_c: melting point in degrees Celsius.
    """

    symbol: str
    name: str
    density_g_cm3: float
    melts_c: float


# Densities of Ag, Au and Pt: published handbook values; Pd and the melting points of Ag and Au
# (ITS-90) and all values of Rh, Ir, Ru, Os: from memory.
METALS = (
    Metal("Ag", "silver", 10.49, 961.78),
    Metal("Au", "gold", 19.30, 1064.18),
    Metal("Pt", "platinum", 21.45, 1768.0),
    Metal("Pd", "palladium", 12.02, 1555.0),
)
RARER_METALS = (
    Metal("Rh", "rhodium", 12.41, 1964.0),
    Metal("Ir", "iridium", 22.56, 2446.0),
    Metal("Ru", "ruthenium", 12.45, 2334.0),
    Metal("Os", "osmium", 22.59, 3033.0),
)

BY_SYMBOL = {metal.symbol: metal for metal in METALS + RARER_METALS}
SYMBOLS = tuple(metal.symbol for metal in METALS)
ALL_SYMBOLS = tuple(BY_SYMBOL)
