"""What goes, all together: how many, how heavy, and what the shop itself thinks is in it."""

from __future__ import annotations

from collections.abc import Iterator

from PySide6.QtCore import Qt
from PySide6.QtWidgets import QGridLayout, QHBoxLayout, QVBoxLayout, QWidget

from vault.application.queries.answers.shipments import ShipmentPreview
from vault.core.metals import ALL_SYMBOLS
from vault.screens.house_style import HouseStyle
from vault.screens.look import Size
from vault.screens.numbers import Numbers, day
from vault.screens.widgets.cards import Card
from vault.screens.widgets.labels import ElidedLabel, label
from vault.screens.widgets.marks import Mark
from vault.screens.words import items as items_words

_OWN = "Own estimate, for the shop alone"
_NOTHING = "What it holds appears here once something is on the list."
_ACROSS = 4


class OwnCard(Card):
    """Shows the totals of one `ShipmentPreview`."""

    def __init__(self, style: HouseStyle, parent: QWidget | None = None) -> None:
        super().__init__(parent, padding=14)
        self._style = style
        self.together = ElidedLabel(size=Size.SECOND)
        self.caption = label(_OWN, size=Size.SECOND, kind="soft")
        self._inside = QWidget()
        self.left_out = label(size=Size.SECOND, kind="soft", wrap=True)
        for part in (self.caption, self._inside, self.together, self.left_out):
            self.column.addWidget(part)
        self.show_preview(None)

    def show_preview(self, preview: ShipmentPreview | None) -> None:
        """Show what goes, or that nothing does yet."""
        if preview is None or not preview.items:
            self._put(label(_NOTHING, kind="soft", wrap=True))
            self.together.setText("")
            self.left_out.setText("")
            return
        numbers = self._style.numbers
        self._put(self._metals(preview))
        self.together.setText(" · ".join(_together(preview, numbers)))
        self.left_out.setText(left_out_words(preview, numbers))
        self.left_out.setVisible(bool(self.left_out.text()))

    def _metals(self, preview: ShipmentPreview) -> QWidget:
        inside = QWidget()
        column = QVBoxLayout(inside)
        column.setContentsMargins(0, 0, 0, 2)
        column.setSpacing(4)
        metals = [one for one in ALL_SYMBOLS if one in preview.own]
        if not metals:
            column.addWidget(label("Nothing is known of what it holds.", wrap=True))
        for start in range(0, len(metals), _ACROSS):
            row = QHBoxLayout()
            row.setSpacing(20)
            for metal in metals[start : start + _ACROSS]:
                figure = preview.own[metal]
                told = f"{metal} {self._style.numbers.uncut_with_unit(figure)}"
                pair = QGridLayout()
                pair.setHorizontalSpacing(6)
                pair.addWidget(Mark(self._style, figure.how), 0, 0)
                pair.addWidget(label(told, size=Size.HEADING, bold=True), 0, 1)
                row.addLayout(pair)
            row.addStretch(1)
            column.addLayout(row)
        return inside

    def _put(self, inside: QWidget) -> None:
        self.column.replaceWidget(self._inside, inside, Qt.FindChildOption.FindDirectChildrenOnly)
        self._inside.hide()
        self._inside.deleteLater()
        self._inside = inside
        inside.show()


def _together(preview: ShipmentPreview, numbers: Numbers) -> Iterator[str]:
    yield items_words(preview.items, numbers.count(preview.items))
    weight = numbers.total_weight(preview.weight_ug)
    missing = numbers.count(preview.not_weighed)
    yield f"{weight}, {missing} not weighed" if preview.not_weighed else weight
    if preview.sheet:
        yield f"terms: {preview.sheet}"
    if preview.due is not None:
        yield f"settlement by {day(preview.due)}"


def left_out_words(preview: ShipmentPreview, numbers: Numbers) -> str:
    """Say what is in none of the figures, and whether some of it is too new for them."""
    told = []
    if preview.not_known:
        many = items_words(preview.not_known, numbers.count(preview.not_known))
        told.append(f"every metal of {many}")
    told += [
        f"{metal} of {items_words(many, numbers.count(many))}"
        for metal, many in preview.left_out.items()
    ]
    words = f"Not known and not counted: {', '.join(told)}." if told else ""
    if preview.stale:
        words += " Some of it is newer than the figures and is counted once they are worked out."
    return words.strip()
