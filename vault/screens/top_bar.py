"""The line above the screens: the scan field and the menu."""

from __future__ import annotations

from collections.abc import Sequence
from functools import partial

from PySide6.QtCore import QEvent, QObject, QPoint, Qt, QTimer, Signal
from PySide6.QtGui import QAction, QKeyEvent, QKeySequence
from PySide6.QtWidgets import QFrame, QHBoxLayout, QLineEdit, QMenu, QPushButton, QWidget
from typing_extensions import override

from vault.screens.look import GAP
from vault.screens.widgets.empty import button_of

_PAUSE_MS = 120
_KINDS = {"item": "item", "lot": "lot", "party": "customer"}


class TopBar(QFrame):
    """Takes what is scanned or typed.

    Signals:
        typed: the text so far, once typing pauses.
        entered: the text, when Enter ends it, as a scanner does.
        left_down: the reader goes down into the table.
        found: kind and name of the thing chosen among several hits.
    """

    typed = Signal(str)
    entered = Signal(str)
    left_down = Signal()
    found = Signal(str, str)

    def __init__(
        self,
        menu: Sequence[QAction | None],
        forms: Sequence[QAction] = (),
        parent: QWidget | None = None,
    ) -> None:
        """Build the bar.

        Args:
            menu: the actions of the menu, None for a line between.
            forms: what is recorded from here, a button for each; the last stands out.
            parent: Qt's.
        """
        super().__init__(parent)
        self.setObjectName("top_bar")
        self.field = QLineEdit()
        self.field.setObjectName("scan")
        self.field.setPlaceholderText("Scan a tag, or type an item, lot or customer")
        self.field.setAccessibleName("Scan or search")
        self.field.setClearButtonEnabled(True)
        self.field.textEdited.connect(self._on_field_edited)
        self.field.textChanged.connect(self._on_field_changed)
        self.field.returnPressed.connect(self._on_field_entered)
        self.field.installEventFilter(self)
        self._pause = QTimer(self)
        self._pause.setSingleShot(True)
        self._pause.setInterval(_PAUSE_MS)
        self._pause.timeout.connect(self._on_pause_over)
        self.form_buttons = [button_of(one, first=one is forms[-1]) for one in forms]
        self.menu_button = QPushButton("Menu")
        self.menu_button.setMenu(_menu_of(menu, self.menu_button))
        row = QHBoxLayout(self)
        row.setContentsMargins(GAP + 6, 14, GAP + 6, 14)
        row.setSpacing(10)
        row.addWidget(self.field, 1)
        row.addStretch(0)
        for button in self.form_buttons:
            row.addWidget(button)
        row.addWidget(self.menu_button)

    @property
    def text(self) -> str:
        """What stands in the field."""
        return self.field.text().strip()

    def offer_field(self, *, on: bool) -> None:
        """Show the field and the buttons, or hide them while there is nothing to be found."""
        self.field.setVisible(on)
        for button in self.form_buttons:
            button.setVisible(on)

    def offer(self, hits: Sequence[tuple[str, str]]) -> None:
        """Let the reader choose among several things of the same name."""
        menu = QMenu(self)
        menu.setAttribute(Qt.WidgetAttribute.WA_DeleteOnClose)
        for kind, name in hits:
            action = menu.addAction(f"{name}   ({_KINDS.get(kind, kind)})")
            action.triggered.connect(partial(self.found.emit, kind, name))
        menu.popup(self.field.mapToGlobal(QPoint(0, self.field.height())))

    def clear(self) -> None:
        """Empty the field without asking anything."""
        self.write("")

    def write(self, text: str) -> None:
        """Put a text into the field without asking anything."""
        self._pause.stop()
        self.field.blockSignals(True)  # noqa: FBT003  Qt knows no keywords here
        self.field.setText(text)
        self.field.blockSignals(False)  # noqa: FBT003  Qt knows no keywords here

    def _on_field_edited(self, _text: str) -> None:
        self._pause.start()

    def _on_field_changed(self, text: str) -> None:
        # The cross in the field empties it without the signal of editing.
        if not text:
            self._pause.start()

    def _on_pause_over(self) -> None:
        self.typed.emit(self.text)

    def _on_field_entered(self) -> None:
        text = self.text
        if text:
            self._pause.stop()
            self.entered.emit(text)

    @override
    def eventFilter(self, watched: QObject, event: QEvent) -> bool:
        if (
            isinstance(event, QKeyEvent)
            and event.type() is QEvent.Type.ShortcutOverride
            and event.matches(QKeySequence.StandardKey.Undo)
            and not self.field.isUndoAvailable()
        ):
            # A field claims Ctrl+Z even with nothing to take back; then it is the window's.
            event.ignore()
            return True
        if isinstance(event, QKeyEvent) and event.type() is QEvent.Type.KeyPress:
            if event.key() == Qt.Key.Key_Escape and self.field.text():
                self.field.clear()
                return True
            if event.key() == Qt.Key.Key_Down:
                self.left_down.emit()
                return True
        return super().eventFilter(watched, event)


def _menu_of(actions: Sequence[QAction | None], parent: QWidget) -> QMenu:
    menu = QMenu(parent)
    for action in actions:
        if action is None:
            menu.addSeparator()
        else:
            menu.addAction(action)
    return menu
