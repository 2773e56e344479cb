"""Random shops that learn: lot after lot smelted and cupelled, and their residues measured.

What slag and cupels keep is drawn around a house factor that may change with the lots; everything
else is drawn as the first guesses claim. Keeps are never below nothing, so they are drawn from a
gamma distribution of the claimed mean and scatter.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, field

import numpy as np

from builders import assayed, received, shop_of, thing, worked
from vault.core.daybook import Entry, Process
from vault.core.flow import Flow, flow_of
from vault.reckoning.cupels import silver_share_kept
from vault.reckoning.guesses import DEFAULT, loss_of

# The house factor of a lot, relative to the first guess; one for slag and one for cupels.
Factor = Callable[[int], float]
SLAG, CUPEL = "slag of smelting", "spent cupel"
ASSAY_U = 0.04


@dataclass
class LearningShop:
    """A shop's daybook with what its slag and cupels truly keep.

    Attributes:
        entries: the daybook.
        works: by kind, the entries of the works that left residues of it, in order.
        measured: how many residues of each kind were measured.
        kept: what each residue truly holds, grams by tag, and `weights` what it weighs.
    """

    entries: list[Entry] = field(default_factory=list)
    works: dict[str, list[int]] = field(default_factory=lambda: {SLAG: [], CUPEL: []})
    measured: dict[str, int] = field(default_factory=lambda: {SLAG: 0, CUPEL: 0})
    kept: dict[str, float] = field(default_factory=dict)
    weights: dict[str, float] = field(default_factory=dict)

    @property
    def flow(self) -> Flow:
        """The flow of all entries."""
        return flow_of(shop_of(*self.entries))

    @property
    def number(self) -> int:
        """The number of the next entry."""
        return len(self.entries) + 1


def shop_that_learns(
    generator: np.random.Generator,
    lots: int,
    factors: dict[str, Factor],
    *,
    measured: float = 1.0,
    scatter: float = 1.0,
) -> LearningShop:
    """Draw one shop.

    Args:
        generator: of chance.
        lots: how many lots are worked up.
        factors: of slag and cupels by lot.
        measured: share of the residues that are measured.
        scatter: how much more batches scatter than the first guesses claim.
    """
    shop = LearningShop()
    for lot in range(lots):
        _lot(shop, generator, lot, factors, measured, scatter)
    return shop


def _lot(
    shop: LearningShop,
    chance: np.random.Generator,
    lot: int,
    factors: dict[str, Factor],
    measured: float,
    scatter: float,
) -> None:
    gross = float(chance.uniform(300.0, 900.0))
    silver = gross * float(chance.uniform(0.4, 0.7))
    read = silver / gross + chance.normal(0.0, 0.002)
    tag = f"{lot:04d}"
    shop.entries.append(
        received(
            shop.number,
            thing(f"R-{tag}", "filings", f"{gross:.2f}", f"Ag {1000 * read:.4f} ± 2", how="ICP"),
            lot=f"L-{tag}",
        )
    )
    kept = silver * _share(chance, SLAG, 0.010, factors[SLAG](lot), scatter)
    button = silver * (1.0 - chance.normal(*loss_of(Process.SMELT, "Ag"))) - kept
    slag_g = 0.7 * gross
    shop.works[SLAG].append(shop.number)
    shop.entries.append(
        worked(
            shop.number,
            "smelt",
            used=f"R-{tag}",
            added=[thing("", "borax, anhydrous", f"{0.4 * gross:.2f}")],
            made=[
                thing(f"K-{tag}", "button", f"{button / 0.85:.2f}"),
                thing(f"S-{tag}", "slag", f"{slag_g:.2f}"),
            ],
        )
    )
    shop.kept[f"S-{tag}"], shop.weights[f"S-{tag}"] = kept, slag_g
    _measure(shop, chance, SLAG, f"S-{tag}", kept / slag_g, measured)
    lead = button
    share = float(
        silver_share_kept(np.array([button]), np.array([lead]), np.array([button / 0.85]))[0]
    )
    left = button * _share(chance, CUPEL, share, factors[CUPEL](lot), scatter)
    bead = button * (1.0 - chance.normal(*loss_of(Process.CUPEL, "Ag"))) - left
    cupel_g = 2.0 * lead + 1.08 * lead
    shop.works[CUPEL].append(shop.number)
    shop.entries.append(
        worked(
            shop.number,
            "cupel",
            used=f"K-{tag}",
            added=[thing("", "lead", f"{lead:.2f}"), thing("", "new cupel", f"{2 * lead:.2f}")],
            made=[
                thing(f"B-{tag}", "bead", f"{bead / 0.97:.2f}"),
                thing(f"C-{tag}", "spent cupel", f"{cupel_g:.2f}"),
            ],
        )
    )
    shop.kept[f"C-{tag}"], shop.weights[f"C-{tag}"] = left, cupel_g
    _measure(shop, chance, CUPEL, f"C-{tag}", left / cupel_g, measured)


def _share(
    chance: np.random.Generator, kind: str, share: float, factor: float, scatter: float
) -> float:
    """Draw what one batch keeps: a gamma around the house factor, with the kind's own scatter."""
    sd = scatter * DEFAULT.keep(kind, "Ag").batch
    return share * float(chance.gamma((factor / sd) ** 2, sd**2 / factor))


def _measure(
    shop: LearningShop, chance: np.random.Generator, kind: str, tag: str, true: float, often: float
) -> None:
    if chance.random() < often:
        read = max(true * (1.0 + chance.normal(0.0, ASSAY_U)), 0.0)
        says = f"Ag {1000 * read:.6f} ± {1000 * ASSAY_U * true:.6f}"
        shop.entries.append(assayed(shop.number, tag, says, how="ICP"))
        shop.measured[kind] += 1
