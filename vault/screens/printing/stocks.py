"""Sizes of label sheets and rolls, in millimetres; the user's own beside a few usual ones."""

from __future__ import annotations

import json
from dataclasses import asdict, dataclass

from vault.core.errors import TextNotUnderstood

# Smaller than this, the symbol's modules are finer than a printer of 203 dots an inch puts down.
LEAST_WIDTH_MM, LEAST_HEIGHT_MM = 36.0, 18.0
LARGEST_MM = 420.0


@dataclass(frozen=True, slots=True)
class Stock:
    """What labels are printed on, all in millimetres.

    Attributes:
        page_width, page_height: the sheet; for a roll the label itself.
        width, height: one label.
        columns, rows: how many labels there are on a sheet.
        left, top: from the edge of the sheet to the first label.
        gap_x, gap_y: between two labels.
    """

    page_width: float
    page_height: float
    width: float
    height: float
    columns: int = 1
    rows: int = 1
    left: float = 0
    top: float = 0
    gap_x: float = 0
    gap_y: float = 0

    @property
    def on_a_page(self) -> int:
        """How many labels a page has."""
        return self.columns * self.rows

    @property
    def is_roll(self) -> bool:
        """Whether each label is a page of its own."""
        return self.on_a_page == 1

    @property
    def name(self) -> str:
        """The size in words, by its millimetres only."""
        size = f"{_mm(self.width)} × {_mm(self.height)} mm"
        return f"{size}, roll" if self.is_roll else f"{size}, sheet of {self.on_a_page}"

    @property
    def page_name(self) -> str:
        """The size of the sheet or of the roll's label in words."""
        return f"{_mm(self.page_width)} × {_mm(self.page_height)} mm"

    def place_of(self, position: int) -> tuple[float, float]:
        """Give the left upper corner of a label on its page, counted row by row from 0."""
        row, column = divmod(position, self.columns)
        return (
            self.left + column * (self.width + self.gap_x),
            self.top + row * (self.height + self.gap_y),
        )

    def trouble(self) -> str:
        """Say what is wrong with these sizes; empty where nothing is."""
        if self.width < LEAST_WIDTH_MM or self.height < LEAST_HEIGHT_MM:
            return (
                f"A label of {_mm(self.width)} × {_mm(self.height)} mm is too small for a symbol "
                f"that can be scanned; take one of at least {_mm(LEAST_WIDTH_MM)} × "
                f"{_mm(LEAST_HEIGHT_MM)} mm."
            )
        right, bottom = self.place_of(self.on_a_page - 1)
        over_x = right + self.width - self.page_width
        over_y = bottom + self.height - self.page_height
        # A tenth of a millimetre is what people round to.
        if over_x > 0.1:
            return (
                f"The labels are {_mm(over_x)} mm wider than the sheet; check the left margin, "
                "the width and the number of labels beside each other."
            )
        if over_y > 0.1:
            return (
                f"The labels are {_mm(over_y)} mm higher than the sheet; check the upper margin, "
                "the height and the number of labels below each other."
            )
        return ""

    def to_text(self) -> str:
        """Give it as the settings keep it."""
        return json.dumps(asdict(self))


def stock_from_text(text: str) -> Stock:
    """Give the stock that the settings keep; the first of the usual ones where that is nothing."""
    try:
        told = json.loads(text)
        stock = Stock(**told)
        bad = stock.trouble() or any(side > LARGEST_MM for side in (stock.page_width, stock.width))
    except (ValueError, TypeError):
        return SHEETS[0]
    return SHEETS[0] if bad else stock


def roll(width: float, height: float) -> Stock:
    """Give a roll of labels that are pages of their own."""
    return Stock(width, height, width, height)


def checked(stock: Stock) -> Stock:
    """Give a stock that can be printed on.

    Raises:
        TextNotUnderstood: when its sizes do not fit together, in a sentence.
    """
    trouble = stock.trouble()
    if trouble:
        raise TextNotUnderstood(trouble)
    return stock


def _mm(length: float) -> str:
    return f"{length:.1f}".removesuffix(".0")


# Sizes that any stationer has, by their millimetres; margins as such sheets are usually cut
# (common practice, no source). The user's own go beside them.
SHEETS = (
    Stock(210, 297, 63.5, 38.1, 3, 7, 7.2, 15.1, 2.5, 0),
    Stock(210, 297, 70, 37, 3, 8, 0, 0.5, 0, 0),
    Stock(210, 297, 99.1, 38.1, 2, 7, 4.7, 15.1, 2.5, 0),
    Stock(215.9, 279.4, 66.7, 25.4, 3, 10, 4.8, 12.7, 3.2, 0),
    Stock(215.9, 279.4, 101.6, 50.8, 2, 5, 4.0, 12.7, 4.8, 0),
)
ROLLS = (roll(40, 20), roll(50, 25), roll(57, 32), roll(62, 29), roll(100, 50))
