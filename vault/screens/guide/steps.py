"""The five steps of the guide: what each says, and the thing of the window it points at."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import TypeVar

from PySide6.QtWidgets import QWidget

from vault.screens.rail import Rail
from vault.screens.safe.card_row import CardRow
from vault.screens.safe.item_pane import ItemPane
from vault.screens.safe.item_view import ItemView
from vault.screens.top_bar import TopBar

W = TypeVar("W", bound=QWidget)


@dataclass(frozen=True, slots=True)
class Step:
    """One step of the guide.

    Attributes:
        title: what it is about.
        words: what it says, two or three sentences.
        anchor: gives the thing it points at, None while that is not shown.
    """

    title: str
    words: str
    anchor: Callable[[], QWidget | None]


def steps_of(window: QWidget) -> tuple[Step, ...]:
    """Give the steps through a window that shows the Safe."""
    return (
        Step(
            "What metal is in the safe",
            "One card for each metal: all of it in fine grams with its ±, split by form. Solid is "
            "measured, hatched still sits in residues. Below: what is owed to customers, and what "
            "is yours.",
            lambda: _shown(window, CardRow),
        ),
        Step(
            "Every figure says how it is known",
            "● assayed, ◐ worked out from the balance, ○ declared, ◌ not known. The ± is one "
            "standard uncertainty. What is not known is never shown as nothing, and is left out "
            "of every total.",
            lambda: _shown(window, ItemView),
        ),
        Step(
            "The chosen item",
            "What it holds, what that rests on, which lots its metal came from, and what was done "
            "to it. “Trace it” (Ctrl+T) draws the whole way; the buttons weigh, move, assay or "
            "send it.",
            lambda: _shown(window, ItemPane),
        ),
        Step(
            "Scan it, or type it",
            "A scanner types here from any screen. Enter goes to the thing; then one key does "
            "what you came for. F1 lists every key. Whatever you record stays: a mistake is "
            "struck with a reason (Ctrl+Z), never erased.",
            lambda: _scan_field(window),
        ),
        Step(
            "What is still locked up",
            "Residues tells what the slag, the cupels and the dust still hold, and how sure that "
            "is; lots and the daybook stand beside it. This shop is invented: try everything, "
            "nothing can be broken.",
            lambda: _rail_button(window, "residues"),
        ),
    )


def _shown(window: QWidget, kind: type[W]) -> W | None:
    return next((one for one in window.findChildren(kind) if one.isVisible()), None)


def _rail_button(window: QWidget, name: str) -> QWidget | None:
    rail = _shown(window, Rail)
    return None if rail is None else rail.button(name) or rail


def _scan_field(window: QWidget) -> QWidget | None:
    bar = _shown(window, TopBar)
    return None if bar is None or not bar.field.isVisible() else bar.field
