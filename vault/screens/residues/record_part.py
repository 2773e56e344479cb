"""The yearly record of a class of residues: kept, made, moved on, and the rule that asks for it."""

from __future__ import annotations

from collections.abc import Sequence

from PySide6.QtCore import QRectF, QSize, Qt, Signal
from PySide6.QtGui import QAction, QPainter, QPaintEvent, QPen
from PySide6.QtWidgets import (
    QApplication,
    QHBoxLayout,
    QMenu,
    QSizePolicy,
    QToolButton,
    QVBoxLayout,
    QWidget,
)
from typing_extensions import override

from vault.application.queries.answers.turnover import YearlyRecord, YearOfRecord
from vault.core.turnover import Judgement
from vault.screens.house_style import HouseStyle
from vault.screens.look import Size
from vault.screens.record_words import (
    otherwise_words,
    since_words,
    standing_words,
    year_words,
)
from vault.screens.widgets.bars import Segment, paint_bar
from vault.screens.widgets.choices import Choice
from vault.screens.widgets.labels import ElidedLabel, label
from vault.screens.words import forms

_NOTHING = [("", "–")]
_BAR, _MARK = 9, 17
_SHORT = {Judgement.OPEN, Judgement.NOT_MET}


class RecordPart(QWidget):
    """Shows one class in one year of a `YearlyRecord`; hidden where none was ever kept.

    Signals:
        paper_wanted: the whole record is to be printed.
        file_wanted: the whole record is to be written to a file.
    """

    paper_wanted = Signal()
    file_wanted = Signal()

    def __init__(self, style: HouseStyle, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._style = style
        self._record: YearlyRecord | None = None
        self.form = Choice("Class of residues", _NOTHING)
        self.year = Choice("Year", _NOTHING)
        self.form.chosen.connect(self._on_form_chosen)
        self.year.chosen.connect(self._fill)
        self.more = self._more_button()
        self.told = label(size=Size.SECOND, wrap=True)
        self.bar = TurnoverBar(style)
        self.standing = label(size=Size.SMALL, wrap=True)
        head = QHBoxLayout()
        head.setSpacing(6)
        head.addWidget(ElidedLabel("Kept, made and moved on", kind="soft"), 1)
        for one in (self.form, self.year, self.more):
            head.addWidget(one)
        column = QVBoxLayout(self)
        column.setContentsMargins(0, 6, 0, 0)
        column.setSpacing(4)
        column.addLayout(head)
        for part in (self.told, self.bar, self.standing):
            column.addWidget(part)
        self.hide()

    def show_record(self, record: YearlyRecord) -> None:
        """Show a record; class and year stay as they were chosen where it has them."""
        is_first = not self._years()
        self._record = record
        self.setVisible(bool(record.classes))
        self.form.offer([(form, forms(form)) for form in record.classes] or _NOTHING)
        if is_first and record.classes:
            self.form.choose(max(record.classes, key=lambda one: _on_hand(record.classes[one])))
        self._offer_years()

    def _more_button(self) -> QToolButton:
        made = QToolButton()
        made.setProperty("kind", "chip")
        made.setText("More")
        made.setAccessibleName("More of the yearly record")
        made.setPopupMode(QToolButton.ToolButtonPopupMode.InstantPopup)
        made.setFocusPolicy(Qt.FocusPolicy.StrongFocus)
        menu = QMenu(made)
        for words, done in (
            ("Print the record …", self.paper_wanted.emit),
            ("Write the record out …", self.file_wanted.emit),
            ("Copy as text", self._copy),
        ):
            action = QAction(words, made)
            action.triggered.connect(done)
            menu.addAction(action)
        made.setMenu(menu)
        return made

    def _on_form_chosen(self) -> None:
        self._offer_years()

    def _offer_years(self) -> None:
        """Offer the years of the class, the newest first and chosen unless another was."""
        years = [one.told.year for one in reversed(self._years())]
        self.year.offer([(year, str(year)) for year in years] or _NOTHING)
        self._fill()

    def _years(self) -> tuple[YearOfRecord, ...]:
        if self._record is None:
            return ()
        return self._record.classes.get(str(self.form.value), ())

    def _fill(self) -> None:
        record = self._record
        chosen = next((one for one in self._years() if one.told.year == self.year.value), None)
        if record is None or chosen is None:
            return
        numbers = self._style.numbers
        is_over = chosen.told.year < record.day.year
        self.told.setText(year_words(chosen.told, numbers, is_over=is_over))
        oldest = None if is_over else record.oldest.get(chosen.told.form)
        said = (
            standing_words(chosen, record, numbers),
            otherwise_words(chosen.told, numbers),
            since_words(oldest),
        )
        self.standing.setText(" ".join(one for one in said if one))
        is_short = chosen.judgement is Judgement.NOT_MET
        self.standing.setProperty("kind", "attention" if is_short else "soft")
        self.standing.style().polish(self.standing)
        share = chosen.told.share
        self.bar.setVisible(share is not None)
        if share is not None:
            needed = None if record.rule is None else float(record.rule.share)
            self.bar.show_share(float(share), needed, is_short=chosen.judgement in _SHORT)

    def _copy(self) -> None:
        """Put the class that is shown, with all its years, on the clipboard."""
        record = self._record
        if record is None:
            return
        lines = []
        for one in self._years():
            is_over = one.told.year < record.day.year
            lines.append(
                f"{one.told.year}\t{forms(one.told.form)}\t"
                f"{year_words(one.told, self._style.numbers, is_over=is_over)}\t"
                f"{standing_words(one, record, self._style.numbers)}"
            )
        QApplication.clipboard().setText("\n".join(lines))


def _on_hand(years: Sequence[YearOfRecord]) -> int:
    return years[-1].told.closing.gross_ug


class TurnoverBar(QWidget):
    """How much of what was kept moved on, with a mark at what the rule asks for."""

    def __init__(self, style: HouseStyle) -> None:
        super().__init__()
        self._style = style
        self._share = 0.0
        self._needed: float | None = None
        self._is_short = False
        self.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Fixed)

    def show_share(self, share: float, needed: float | None, *, is_short: bool) -> None:
        """Show a share of one, cut at the whole; `needed` None where no rule is set."""
        self._share, self._needed, self._is_short = min(1.0, share), needed, is_short
        self.update()

    @override
    def sizeHint(self) -> QSize:
        return QSize(200, _MARK)

    @override
    def paintEvent(self, event: QPaintEvent) -> None:
        del event
        look = self._style.look
        painter = QPainter(self)
        place = QRectF(0, (self.height() - _BAR) / 2, self.width(), _BAR)
        parts = [Segment(self._share, look.soft_ink), Segment(1 - self._share, look.band)]
        paint_bar(painter, place, parts, look.band)
        if self._needed is not None:
            x = self._needed * (self.width() - 2) + 1
            painter.setPen(QPen(look.attention if self._is_short else look.soft_ink, 2))
            painter.drawLine(int(x), 0, int(x), self.height())
