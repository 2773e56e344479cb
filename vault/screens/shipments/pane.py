"""The chosen shipment, beside the list: where it is, what is in it, and what was settled."""

from __future__ import annotations

from functools import partial

from PySide6.QtCore import Signal
from PySide6.QtGui import QAction
from PySide6.QtWidgets import QGridLayout, QPushButton, QVBoxLayout, QWidget

from vault.application.queries.answers.shipments import SettlementTold, ShipmentDetail, ShipmentPart
from vault.core.metals import ALL_SYMBOLS
from vault.screens.house_style import HouseStyle
from vault.screens.look import Size
from vault.screens.numbers import day
from vault.screens.shipments.columns import holds_words
from vault.screens.shipments.list_columns import way_in_full
from vault.screens.widgets.empty import button_of
from vault.screens.widgets.labels import label, line
from vault.screens.widgets.links import Links
from vault.screens.widgets.marks import Mark
from vault.screens.widgets.pane import Pane
from vault.screens.words import items as items_words

WIDTH = 420
_MOST_PARTS = 40


class ShipmentPane(Pane):
    """Shows one `ShipmentDetail`, or says that nothing is chosen.

    Signals:
        item_wanted: the tag of an item to be shown in the Safe.
        entry_wanted: the number of an entry to be shown in the daybook.
        papers_wanted, own_estimate_wanted: an entry that sent it, of which papers are wanted.
    """

    item_wanted = Signal(str)
    entry_wanted = Signal(int)
    papers_wanted = Signal(int)
    own_estimate_wanted = Signal(int)

    def __init__(self, style: HouseStyle, settle: QAction, parent: QWidget | None = None) -> None:
        self.settle_button = button_of(settle, first=True, words="Settle …")
        self.papers_button = QPushButton("Packing list")
        self.papers_button.setToolTip("Print the papers of this shipment once more")
        self.own_button = QPushButton("Own estimate")
        self.own_button.setToolTip("Print what you think is in it, for your own file alone")
        super().__init__(
            "Choose a shipment to see what is in it, how long it is out, and what was settled.",
            [self.settle_button, self.papers_button, self.own_button],
            width=WIDTH,
            parent=parent,
        )
        self._style = style
        self._detail: ShipmentDetail | None = None
        self.papers_button.clicked.connect(partial(self._for_each_sending, "papers_wanted"))
        self.own_button.clicked.connect(partial(self._for_each_sending, "own_estimate_wanted"))

    @property
    def detail(self) -> ShipmentDetail | None:
        """What is shown."""
        return self._detail

    def show_detail(self, detail: ShipmentDetail) -> None:
        """Show a shipment."""
        self._detail = detail
        row = detail.row
        parts: list[QWidget] = [label(way_in_full(row), wrap=True), self._believed(detail)]
        parts += [self._settlement(one) for one in detail.settlements]
        parts.append(self._goes(detail))
        tags = Links(detail.tags, "{name} in the Safe", across=3)
        tags.wanted.connect(self.item_wanted)
        parts += [label("Its items", size=Size.SMALL, kind="soft"), tags]
        sent = Links([str(one) for one in row.sent_by], "Entry {name} of the daybook")
        sent.wanted.connect(self._on_entry_clicked)
        parts += [label("Sent by the entry", size=Size.SMALL, kind="soft"), sent]
        under = f" · {row.terms}" if row.terms else " · no terms sheet named"
        self.show_parts(row.ref, f"{row.party}{under}", parts)

    def clear(self) -> None:
        """Say that nothing is chosen."""
        self._detail = None
        super().clear()

    # --- its own --------------------------------------------------------------------------------

    def _believed(self, detail: ShipmentDetail) -> QWidget:
        inside, column = _part("What you think is in it now")
        numbers = self._style.numbers
        for metal in ALL_SYMBOLS:
            figure = detail.contents.get(metal)
            if figure is None:
                continue
            pair = QGridLayout()
            pair.setHorizontalSpacing(6)
            pair.setColumnStretch(2, 1)
            pair.addWidget(Mark(self._style, figure.how), 0, 0)
            pair.addWidget(label(f"{metal} {numbers.uncut_with_unit(figure)}", bold=True), 0, 1)
            column.addLayout(pair)
        if not detail.contents:
            column.addWidget(label("Nothing is known of what it holds.", wrap=True))
        if detail.not_known:
            many = items_words(detail.not_known, numbers.count(detail.not_known))
            told = f"Not known and not counted: every metal of {many}."
            column.addWidget(label(told, size=Size.SECOND, kind="soft", wrap=True))
        return inside

    def _settlement(self, settled: SettlementTold) -> QWidget:
        inside, column = _part(f"Settled on {day(settled.day)}")
        for told in settled.against:
            column.addWidget(label(told, wrap=True))
        for told in settled.lines:
            column.addWidget(line())
            column.addWidget(label(told, size=Size.SECOND, wrap=True))
        links = Links([str(settled.entry)], "Entry {name} of the daybook", shown="Entry {name}")
        links.wanted.connect(self._on_entry_clicked)
        column.addWidget(links)
        return inside

    def _goes(self, detail: ShipmentDetail) -> QWidget:
        inside, column = _part("What went")
        for one in detail.parts[:_MOST_PARTS]:
            column.addWidget(line())
            column.addWidget(label(self._part_words(one), size=Size.SECOND, wrap=True))
        more = len(detail.parts) - _MOST_PARTS
        if more > 0:
            told = f"and {more} more; all of it stands on the packing list"
            column.addWidget(label(told, size=Size.SECOND, kind="soft", wrap=True))
        return inside

    def _part_words(self, part: ShipmentPart) -> str:
        numbers = self._style.numbers
        told = [part.name, holds_words(part.forms, numbers)]
        if part.weight_ug is None:
            told.append("not weighed")
        else:
            told.append(numbers.total_weight(part.weight_ug))
            if part.not_weighed:
                told.append(f"{numbers.count(part.not_weighed)} not weighed")
        if part.seal:
            told.append(f"seal {part.seal}")
        return " · ".join(told)

    def _on_entry_clicked(self, number: str) -> None:
        self.entry_wanted.emit(int(number))

    def _for_each_sending(self, wanted: str) -> None:
        if self._detail is not None:
            for entry in self._detail.row.sent_by:
                getattr(self, wanted).emit(entry)


def _part(caption: str) -> tuple[QWidget, QVBoxLayout]:
    inside = QWidget()
    column = QVBoxLayout(inside)
    column.setContentsMargins(0, 0, 0, 0)
    column.setSpacing(4)
    column.addWidget(label(caption, size=Size.SMALL, kind="soft"))
    return inside, column
