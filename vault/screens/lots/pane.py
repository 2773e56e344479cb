"""The chosen lot, beside the table: its account, where its metal is now, what was done."""

from __future__ import annotations

from collections.abc import Sequence
from functools import partial

from PySide6.QtCore import Qt, Signal
from PySide6.QtGui import QAction
from PySide6.QtWidgets import QGridLayout, QMenu, QPushButton, QVBoxLayout, QWidget

from vault.application.queries.answers.lots import FateItem, LotDetail
from vault.core.daybook import Process
from vault.core.items import State
from vault.screens.house_style import HouseStyle
from vault.screens.look import Size
from vault.screens.lots.account import AccountPartView
from vault.screens.lots.columns import weight_words
from vault.screens.models.item_columns import STATES
from vault.screens.numbers import day, metal_name
from vault.screens.widgets.cards import Note
from vault.screens.widgets.chips import MetalChips
from vault.screens.widgets.empty import button_of
from vault.screens.widgets.history import HistoryPart
from vault.screens.widgets.labels import ElidedLabel, label
from vault.screens.widgets.pane import Pane
from vault.screens.words import FIRST_WORKS, NO_PLACE
from vault.screens.words import items as items_words

WIDTH = 384
_MOST_ITEMS = 30


class LotPane(Pane):
    """Shows one `LotDetail`, or says that nothing is chosen.

    Signals:
        item_wanted: the tag of an item to be shown in the Safe.
        entry_wanted: the number of an entry to be shown in the daybook.
        work_wanted: a `Process`, and the tags of what waits.
        receipt_wanted: the number of the entry that received the lot.
    """

    item_wanted = Signal(str)
    entry_wanted = Signal(int)
    work_wanted = Signal(object, object)
    receipt_wanted = Signal(int)

    def __init__(self, style: HouseStyle, trace: QAction, parent: QWidget | None = None) -> None:
        self.trace_button = button_of(trace, first=True)
        self.work_button = QPushButton("Work on it")
        self.receipt_button = QPushButton("Receipt …")
        super().__init__(
            "Choose a lot to see what became of its metal and where it is now.",
            [self.trace_button, self.work_button, self.receipt_button],
            width=WIDTH,
            parent=parent,
        )
        self.work_button.setMenu(self._works())
        self._receipts = QMenu(self)
        self.receipt_button.setToolTip("Print the receipt of this lot once more")
        self.receipt_button.clicked.connect(self._on_receipt_button_clicked)
        self._style = style
        self._detail: LotDetail | None = None
        self._metal = ""

    @property
    def detail(self) -> LotDetail | None:
        """What is shown."""
        return self._detail

    def show_detail(self, detail: LotDetail) -> None:
        """Show a lot; the metal looked at before stays in sight if the lot holds it."""
        self._detail = detail
        self._offer_work(detail)
        metals = [one.metal for one in detail.accounts]
        if self._metal not in metals:
            self._metal = metals[0] if metals else ""
        self.restyle()

    def restyle(self) -> None:
        """Write everything anew in the number style in use."""
        if self._detail is not None:
            row = self._detail.row
            what = f"{row.party} · {row.terms} · {day(row.received_on)}"
            self.show_parts(row.lot, what, self._parts(self._detail))

    def clear(self) -> None:
        """Say that nothing is chosen."""
        self._detail = None
        super().clear()

    def _parts(self, detail: LotDetail) -> list[QWidget]:
        numbers, row = self._style.numbers, detail.row
        received = (
            f"{row.words} · {items_words(row.items, numbers.count(row.items))} · "
            f"{weight_words(row, numbers)} · {row.progress}"
        )
        parts: list[QWidget] = [ElidedLabel(received, size=Size.SECOND)]
        if detail.hold:
            parts.insert(0, Note(detail.hold))
        if len(detail.accounts) > 1:
            chips = MetalChips([one.metal for one in detail.accounts], self._metal)
            chips.chosen.connect(self._on_metal_chosen)
            parts.append(chips)
        account = next((one for one in detail.accounts if one.metal == self._metal), None)
        if account is None:
            told = "Its account appears here as soon as the figures are worked out."
            parts.append(label(told, kind="soft", wrap=True))
        else:
            parts.append(AccountPartView(account, self._style))
            parts.append(self._whereabouts(detail))
        history = HistoryPart(detail.history)
        history.entry_wanted.connect(self.entry_wanted)
        return [*parts, history]

    def _works(self) -> QMenu:
        menu = QMenu(self)
        for process, words in FIRST_WORKS:
            action = menu.addAction(words)
            action.triggered.connect(partial(self._on_work_chosen, Process(process)))
        return menu

    def _offer_work(self, detail: LotDetail) -> None:
        can = bool(detail.waiting) and not detail.row.is_held
        self.work_button.setEnabled(can)
        if detail.row.is_held:
            self.work_button.setToolTip(detail.hold)
        else:
            number = items_words(len(detail.waiting))
            told = f"Begin a work with its {number} on hand"
            self.work_button.setToolTip(told if can else "Nothing of it waits to be worked")
        self._offer_receipts(detail)

    def _offer_receipts(self, detail: LotDetail) -> None:
        """Offer the receipt, or each of them where the lot came in several times."""
        self.receipt_button.setEnabled(bool(detail.receipts))
        self._receipts.clear()
        for entry, on in detail.receipts:
            action = self._receipts.addAction(f"{day(on)}, entry {entry}")
            action.triggered.connect(partial(self.receipt_wanted.emit, entry))
        menu = self._receipts if len(detail.receipts) > 1 else None
        self.receipt_button.setMenu(menu)  # type: ignore[arg-type]  # none takes it away in Qt

    def _whereabouts(self, detail: LotDetail) -> QWidget:
        inside = QWidget()
        column = QVBoxLayout(inside)
        column.setContentsMargins(0, 0, 0, 0)
        column.setSpacing(4)
        name = metal_name(self._metal)
        column.addWidget(label(f"Where its {name} is now", size=Size.SMALL, kind="soft"))
        items = [one for one in detail.items if self._metal in one.fine_ug]
        items.sort(key=lambda one: -one.fine_ug[self._metal])
        column.addLayout(self._item_rows(items[:_MOST_ITEMS]))
        more = len(items[_MOST_ITEMS:]) + detail.more_items
        if more:
            told = f"and {self._style.numbers.count(more)} more; trace it to see all"
            column.addWidget(label(told, size=Size.SMALL, kind="soft"))
        return inside

    def _item_rows(self, items: Sequence[FateItem]) -> QGridLayout:
        grid = QGridLayout()
        grid.setHorizontalSpacing(8)
        grid.setVerticalSpacing(3)
        grid.setColumnStretch(1, 1)
        numbers = self._style.numbers
        for row, item in enumerate(items):
            tag = QPushButton(item.tag)
            tag.setProperty("kind", "link")
            tag.setToolTip(f"{item.tag} in the Safe")
            tag.clicked.connect(partial(self.item_wanted.emit, item.tag))
            is_here = item.state is State.ON_HAND
            where = (item.place or NO_PLACE) if is_here else STATES[item.state]
            fine = numbers.fine(item.fine_ug[self._metal], None)
            grid.addWidget(tag, row, 0)
            grid.addWidget(ElidedLabel(f"{item.form} · {where}", size=Size.SECOND), row, 1)
            grid.addWidget(
                label(f"{fine} {numbers.unit}", size=Size.SECOND),
                row,
                2,
                Qt.AlignmentFlag.AlignRight,
            )
        return grid

    def _on_work_chosen(self, process: Process) -> None:
        if self._detail is not None:
            self.work_wanted.emit(process, self._detail.waiting)

    def _on_receipt_button_clicked(self) -> None:
        # With several to choose from the button opens their menu instead.
        if self._detail is not None and len(self._detail.receipts) == 1:
            self.receipt_wanted.emit(self._detail.receipts[0][0])

    def _on_metal_chosen(self, metal: str) -> None:
        self._metal = metal
        self.restyle()
