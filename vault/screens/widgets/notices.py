"""Sentences across the window that stay until they are read, and the strip of work under way."""

from __future__ import annotations

from PySide6.QtCore import Signal
from PySide6.QtWidgets import QFrame, QHBoxLayout, QProgressBar, QPushButton, QWidget

from vault.screens.background import Report, Run
from vault.screens.widgets.labels import ElidedLabel, label

_STEPS = 1000


class Notice(QFrame):
    """Tells trouble in a sentence, or what went well; hidden while there is neither.

    Of one kind only the newest is told, so that a day's work does not pile up; what is of no kind
    stands until it is read.

    Signals:
        closed: the reader has read it.
    """

    closed = Signal()

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setProperty("kind", "caution")
        self.words = label(wrap=True)
        # By kind, in the order in which they came: the sentence, and whether it tells trouble.
        self._told: dict[str, tuple[str, bool]] = {}
        self._close = QPushButton("Close")
        self._close.clicked.connect(self._on_close_clicked)
        row = QHBoxLayout(self)
        row.setContentsMargins(14, 8, 8, 8)
        row.addWidget(self.words, 1)
        row.addWidget(self._close)
        self.hide()

    def tell(self, sentence: str, kind: str = "") -> None:
        """Show a sentence of trouble, in place of an older one of the same kind, else below it."""
        self._say(sentence, kind, is_trouble=True)

    def tell_good(self, sentence: str, kind: str = "") -> None:
        """Show a sentence on what went well; beside a trouble it takes nothing from it."""
        self._say(sentence, kind, is_trouble=False)

    def _say(self, sentence: str, kind: str, *, is_trouble: bool) -> None:
        self._told[kind or sentence] = (sentence, is_trouble)
        self.words.setText("\n".join(one for one, _ in self._told.values()))
        look = "caution" if any(is_bad for _, is_bad in self._told.values()) else "note"
        if self.property("kind") != look:
            self.setProperty("kind", look)
            self.style().unpolish(self)
            self.style().polish(self)
        self.show()

    def _on_close_clicked(self) -> None:
        self.hide()
        self._told.clear()
        self.words.clear()
        self.closed.emit()


class WorkStrip(QFrame):
    """Shows the work under way, how far it is, and lets it be stopped; hidden otherwise."""

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setProperty("kind", "note")
        self._run: Run | None = None
        self.words = ElidedLabel()
        self.bar = QProgressBar()
        self.bar.setTextVisible(False)
        self.stop = QPushButton("Stop")
        self.stop.clicked.connect(self._on_stop_clicked)
        row = QHBoxLayout(self)
        row.setContentsMargins(14, 6, 8, 6)
        row.setSpacing(14)
        row.addWidget(self.words, 2)
        row.addWidget(self.bar, 3)
        row.addWidget(self.stop)
        self.hide()

    def follow(self, run: Run) -> None:
        """Show a run until it ends; a later one takes its place."""
        self._run = run
        self.words.setText(run.words)
        self.bar.setRange(0, 0)
        self.stop.setEnabled(True)
        run.progressed.connect(self._on_run_progressed)
        run.ended.connect(self._on_run_ended)
        self.show()

    def _on_run_progressed(self, report: Report) -> None:
        run = self.sender()
        if run is not self._run or self._run is None:
            return
        if report.of > 0:
            self.bar.setRange(0, _STEPS)
            # Counted in thousandths: the bar takes 32 bits, a count need not fit in them.
            self.bar.setValue(_STEPS * min(report.done, report.of) // report.of)

    def _on_run_ended(self) -> None:
        if self.sender() is self._run:
            self._run = None
            self.hide()

    def _on_stop_clicked(self) -> None:
        if self._run is not None:
            self._run.stop()
            self.stop.setEnabled(False)
            self.words.setText("Stopping …")
