"""Fields of the recording forms: big lines to type in, each with a sentence below it.

A field never guesses: what cannot be read is told under it in a sentence once the hand goes on,
and what could mean two things is asked, with a button for each answer.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence

from PySide6.QtCore import Qt, Signal
from PySide6.QtGui import QFocusEvent
from PySide6.QtWidgets import (
    QHBoxLayout,
    QLabel,
    QLineEdit,
    QPushButton,
    QSizePolicy,
    QVBoxLayout,
    QWidget,
)
from typing_extensions import override

from vault.core.errors import TextUnclear, VaultError
from vault.screens.look import Size
from vault.screens.widgets.labels import label

HINT, TROUBLE = "soft", "attention"

_PADDING = 24

# The words of an answer, and what is done when it is given.
Answer = tuple[str, Callable[[], None]]


class Field(QWidget):
    """A line to type in, and what is said of it.

    Signals:
        edited: the reader typed or chose something.
        taken: Enter ended it, and nothing is wrong with it; a form goes on to the next field.
    """

    edited = Signal()
    taken = Signal()

    def __init__(self, name: str, hint: str = "", parent: QWidget | None = None) -> None:
        """Build the field; `name` is what it is called, `hint` stands in it while it is empty."""
        super().__init__(parent)
        self.line = _Line()
        self.line.setProperty("kind", "field")
        self.line.setAccessibleName(name)
        self.line.setPlaceholderText(hint)
        self.line.textEdited.connect(self._on_line_edited)
        self.line.editingFinished.connect(self.look)
        self.line.returnPressed.connect(self._on_line_entered)
        self.said_of_it = Saying()
        column = QVBoxLayout(self)
        column.setContentsMargins(0, 0, 0, 0)
        column.setSpacing(3)
        column.addWidget(self.line)
        column.addWidget(self.said_of_it)
        # Beside a field of which more is said the line stays at the top.
        column.addStretch(1)
        self.setFocusProxy(self.line)
        self.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Preferred)

    @property
    def text(self) -> str:
        """What stands in it."""
        return self.line.text().strip()

    def trouble(self) -> str:
        """Say in a sentence what is wrong with it; empty where nothing is."""
        try:
            self.read()
        except VaultError as error:
            return str(error)
        return ""

    def write(self, text: str) -> None:
        """Put a text into it without telling anybody."""
        self.line.setText(text)
        # Of a long name the beginning says most.
        self.line.setCursorPosition(0)
        self.look()

    def read(self) -> object:
        """Read what stands in it.

        Raises:
            VaultError: when it cannot be read.
        """
        return self.text

    def remark(self) -> str:
        """Say something quiet of what stands in it, such as that it is new; empty for nothing."""
        return ""

    def look(self) -> None:
        """Tell what is wrong, ask what is not clear, or remark on it, under the field."""
        self.line.setToolTip(self.text if self._is_cut() else "")
        try:
            self.read()
        except TextUnclear as error:
            self.ask(str(error), [(one, self._answering(one)) for one in error.meant])
        except VaultError as error:
            self.said_of_it.say(str(error), TROUBLE)
        else:
            self.said_of_it.say(self.remark(), HINT)

    def ask(self, question: str, answers: Sequence[Answer]) -> None:
        """Ask under the field; the answers are the next that Tab comes to."""
        self.said_of_it.ask(question, answers)
        before: QWidget = self.line
        for button in self.said_of_it.answers():
            QWidget.setTabOrder(before, button)
            before = button

    def _is_cut(self) -> bool:
        room = self.line.contentsRect().width() - _PADDING
        return self.line.fontMetrics().horizontalAdvance(self.text) > room

    def _answering(self, answer: str) -> Callable[[], None]:
        def answered() -> None:
            self.line.setText(answer)
            self.line.setFocus()
            self.look()
            self.edited.emit()

        return answered

    def _on_line_edited(self) -> None:
        self.said_of_it.say("", HINT)
        self.edited.emit()

    def _on_line_entered(self) -> None:
        # `editingFinished` comes later than this, and has nothing new to say then.
        self.look()
        if not self.trouble():
            self.taken.emit()


class _Line(QLineEdit):
    """What stands in it is chosen when a form leads here, so that typing replaces it."""

    @override
    def focusInEvent(self, event: QFocusEvent) -> None:
        super().focusInEvent(event)
        if event.reason() is Qt.FocusReason.OtherFocusReason:
            self.selectAll()


class Saying(QWidget):
    """A sentence under a field, and a button for each answer where it asks something."""

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.words = label(size=Size.SECOND, kind=HINT, wrap=True)
        self._answers = QHBoxLayout()
        self._answers.setSpacing(6)
        column = QVBoxLayout(self)
        column.setContentsMargins(2, 0, 2, 0)
        column.setSpacing(4)
        column.addWidget(self.words)
        column.addLayout(self._answers)
        self.hide()

    @property
    def text(self) -> str:
        """What is said; empty where nothing is."""
        return self.words.text()

    def answers(self) -> list[QPushButton]:
        """Give the buttons that answer."""
        # Those of the question before may still be on their way out.
        parts = (self._answers.itemAt(at) for at in range(self._answers.count()))
        widgets = [part.widget() for part in parts if part is not None]
        return [one for one in widgets if isinstance(one, QPushButton)]

    def say(self, sentence: str, kind: str = HINT) -> None:
        """Say a sentence, or nothing."""
        told = (self.words.text(), self.words.property("kind"), self._answers.count())
        if told != (sentence, kind, 0):
            self._show(sentence, kind)

    def ask(self, question: str, answers: Sequence[Answer]) -> None:
        """Ask, with the words and the doing of each answer."""
        if question == self.words.text() and self._answers.count():
            return
        self._show(question, TROUBLE)
        for words, answered in answers:
            button = QPushButton(words)
            button.setProperty("kind", "answer")
            button.setAutoDefault(True)
            button.clicked.connect(answered)
            self._answers.addWidget(button)
            # A layout shows what it is given only later; Tab may come sooner.
            button.setVisible(True)
        self._answers.addStretch(1)

    def _show(self, sentence: str, kind: str) -> None:
        while (part := self._answers.takeAt(0)) is not None:
            widget = part.widget()
            if widget is not None:
                widget.hide()
                widget.deleteLater()
        self.words.setText(sentence)
        if self.words.property("kind") != kind:
            self.words.setProperty("kind", kind)
            self.words.style().unpolish(self.words)
            self.words.style().polish(self.words)
        self.setVisible(bool(sentence))


class Captioned(QWidget):
    """A field with its name above it."""

    def __init__(self, caption: str, field: QWidget, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.caption: QLabel = label(caption, size=Size.SECOND, kind=HINT)
        self.caption.setBuddy(field)
        self._above = QHBoxLayout()
        self._above.setSpacing(10)
        self._above.addWidget(self.caption)
        self._above.addStretch(1)
        column = QVBoxLayout(self)
        column.setContentsMargins(0, 0, 0, 0)
        column.setSpacing(2)
        column.addLayout(self._above)
        column.addWidget(field)
        column.addStretch(1)
        column.setAlignment(Qt.AlignmentFlag.AlignTop)

    def beside_caption(self, widget: QWidget) -> None:
        """Put a small thing on the line of the caption, which stays as high as without it."""
        widget.setMaximumHeight(self.caption.sizeHint().height())
        self._above.addWidget(widget)
