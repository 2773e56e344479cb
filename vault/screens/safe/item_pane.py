"""The chosen item, beside the table: content, doubt, origins, history, what can be done."""

from __future__ import annotations

from collections.abc import Callable

from PySide6.QtCore import Qt, Signal
from PySide6.QtGui import QAction, QGuiApplication
from PySide6.QtWidgets import (
    QButtonGroup,
    QFrame,
    QHBoxLayout,
    QPushButton,
    QScrollArea,
    QStackedWidget,
    QToolButton,
    QVBoxLayout,
    QWidget,
)

from vault.application.queries.answers import ItemDetail, MetalOfItem
from vault.screens.house_style import HouseStyle
from vault.screens.look import Size
from vault.screens.models.item_columns import NEARLY_ALL, since_words
from vault.screens.numbers import NOTHING, day
from vault.screens.safe.item_parts import BudgetPart, ContentPart, HistoryPart, OriginsPart
from vault.screens.widgets.cards import Card, Caution
from vault.screens.widgets.empty import button_of
from vault.screens.widgets.labels import ElidedLabel, label
from vault.screens.words import NO_PLACE

WIDTH = 372
_LEAST_WIDTH = 310


class ItemPane(Card):
    """Shows one `ItemDetail`, or says that nothing is chosen.

    Signals:
        lot_wanted: the name of a lot to be traced.
        entry_wanted: the number of an entry to be shown.
    """

    lot_wanted = Signal(str)
    entry_wanted = Signal(int)

    def __init__(self, style: HouseStyle, trace: QAction, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._style = style
        self._detail: ItemDetail | None = None
        self._metal = ""
        self.setMinimumWidth(_LEAST_WIDTH)
        self.setMaximumWidth(WIDTH)
        self.tag = ElidedLabel(size=Size.HEADING, bold=True)
        self.what = ElidedLabel(kind="soft")
        self.body = QScrollArea()
        self.body.setWidgetResizable(True)
        self.body.setFrameShape(QFrame.Shape.NoFrame)
        self.body.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
        self.trace_button = button_of(trace, first=True)
        self.copy_button = QPushButton("Copy")
        self.copy_button.setToolTip("Copy what is shown here as text")
        self.copy_button.clicked.connect(self._on_copy_clicked)
        self._stack = QStackedWidget()
        self._stack.addWidget(self._nothing_chosen())
        self._stack.addWidget(self._filled())
        self.column.addWidget(self._stack)

    @property
    def detail(self) -> ItemDetail | None:
        """What is shown."""
        return self._detail

    def show_detail(self, detail: ItemDetail) -> None:
        """Show an item; the metal looked at before stays in sight if it holds it."""
        self._detail = detail
        row = detail.row
        self.tag.setText(row.tag)
        place = row.place or NO_PLACE
        self.what.setText(f"{row.form} · {place} · {since_words(row)}")
        metals = [one.metal for one in detail.metals]
        if self._metal not in metals:
            self._metal = metals[0] if metals else ""
        self._fill_body()
        self._stack.setCurrentIndex(1)

    def clear(self) -> None:
        """Say that nothing is chosen."""
        self._detail = None
        self._stack.setCurrentIndex(0)

    def restyle(self) -> None:
        """Write everything anew in the number style in use."""
        if self._detail is not None:
            self._fill_body()

    def _nothing_chosen(self) -> QWidget:
        page = QWidget()
        column = QVBoxLayout(page)
        column.addStretch(1)
        told = label(
            "Choose an item to see what it holds, how that is known, and where it came from.",
            kind="soft",
            wrap=True,
        )
        told.setAlignment(Qt.AlignmentFlag.AlignHCenter)
        column.addWidget(told)
        column.addStretch(2)
        return page

    def _filled(self) -> QWidget:
        page = QWidget()
        column = QVBoxLayout(page)
        column.setContentsMargins(0, 0, 0, 0)
        column.setSpacing(2)
        column.addWidget(self.tag)
        column.addWidget(self.what)
        column.addWidget(self.body, 1)
        buttons = QHBoxLayout()
        buttons.setSpacing(8)
        buttons.addWidget(self.trace_button, 1)
        buttons.addWidget(self.copy_button, 1)
        column.addLayout(buttons)
        return page

    def _fill_body(self) -> None:
        detail = self._detail
        if detail is None:
            return
        inside = QWidget()
        column = QVBoxLayout(inside)
        column.setContentsMargins(0, 8, 8, 8)
        column.setSpacing(10)
        for words in detail.cautions:
            column.addWidget(Caution(words))
        if len(detail.metals) > 1:
            column.addWidget(self._metal_chips(detail))
        metal = next((one for one in detail.metals if one.metal == self._metal), None)
        self._add_weight(column, detail)
        if metal is not None:
            self._add_metal(column, metal)
        if detail.note:
            column.addWidget(label(f"“{detail.note}”", size=Size.SECOND, wrap=True))
        history = HistoryPart(detail.history)
        history.entry_wanted.connect(self.entry_wanted)
        column.addWidget(history)
        column.addStretch(1)
        # The area frees what it showed before, and would paint its own ground below this.
        self.body.setWidget(inside)
        inside.setAutoFillBackground(False)

    def _add_weight(self, column: QVBoxLayout, detail: ItemDetail) -> None:
        numbers, row = self._style.numbers, detail.row
        if row.gross_ug is None:
            told = "never weighed"
        else:
            doubt = f" ± {numbers.fine(row.gross_u_ug, None)}" if row.gross_u_ug else ""
            told = f"{numbers.weight(row.gross_ug)}{doubt} on the scale"
        part = row.owner_share is not None and row.owner_share < NEARLY_ALL
        share = f" {numbers.rough_share(row.owner_share or 0.0)}" if part else ""
        whose = f" · {row.owner}{share}" if row.owner else ""
        column.addWidget(ElidedLabel(f"{told}{whose}", size=Size.SECOND))

    def _add_metal(self, column: QVBoxLayout, metal: MetalOfItem) -> None:
        column.addWidget(ContentPart(metal, self._style))
        if metal.budget:
            column.addWidget(label("What its ± comes from", size=Size.SMALL, kind="soft"))
            column.addWidget(BudgetPart(metal.budget, self._style))
        if metal.origins:
            origins = OriginsPart(metal, self._style)
            origins.lot_wanted.connect(self.lot_wanted)
            column.addWidget(origins)

    def _metal_chips(self, detail: ItemDetail) -> QWidget:
        chips = QWidget()
        row = QHBoxLayout(chips)
        row.setContentsMargins(0, 0, 0, 0)
        row.setSpacing(6)
        group = QButtonGroup(chips)
        for one in detail.metals:
            chip = QToolButton()
            chip.setProperty("kind", "chip")
            chip.setCheckable(True)
            chip.setText(one.metal)
            chip.setChecked(one.metal == self._metal)
            chip.clicked.connect(self._on_chip_clicked(one.metal))
            group.addButton(chip)
            row.addWidget(chip)
        row.addStretch(1)
        return chips

    def _on_chip_clicked(self, metal: str) -> Callable[[], None]:
        def slot() -> None:
            self._metal = metal
            self._fill_body()

        return slot

    def _on_copy_clicked(self) -> None:
        if self._detail is not None:
            QGuiApplication.clipboard().setText(words_of_detail(self._detail, self._style))


def words_of_detail(detail: ItemDetail, style: HouseStyle) -> str:
    """Give all that is known of an item as lines of text."""
    numbers, row = style.numbers, detail.row
    lines = [f"{row.tag}, {row.form}, {row.place or NO_PLACE}, {since_words(row)}"]
    lines.append(f"Weight {numbers.weight(row.gross_ug)}")
    for metal in detail.metals:
        told = numbers.figure_with_unit(metal.figure)
        lines.append(f"{metal.metal} {told} ({metal.figure.how.value})")
        lines += [
            f"  {one.lot}\t{numbers.fine(one.fine_ug, one.u_ug)} {numbers.unit}\t"
            f"{NOTHING if one.share is None else numbers.share(one.share)}\t{one.words}"
            for one in metal.origins
        ]
    lines += [f"{day(one.day)}\t{one.words}" for one in detail.history]
    return "\n".join(lines)
