"""The frame of every small form: heading, fields, what is said of them, and the big button."""

from __future__ import annotations

import uuid
from collections.abc import Callable, Sequence
from functools import partial
from typing import Any

from PySide6.QtCore import QEvent, QObject, Qt, QTimer, Signal
from PySide6.QtGui import QKeyEvent, QKeySequence, QShortcut, QShowEvent
from PySide6.QtWidgets import (
    QDialog,
    QHBoxLayout,
    QPushButton,
    QVBoxLayout,
    QWidget,
)
from typing_extensions import override

from vault.application.changes import Changes
from vault.application.drafts import KeptDraft
from vault.screens.failures import is_trouble, sentence_of
from vault.screens.forms.kit import FormKit
from vault.screens.look import Size
from vault.screens.widgets.cards import Caution, Note
from vault.screens.widgets.day_fields import WhenField
from vault.screens.widgets.enter_key import press_in_hand
from vault.screens.widgets.fields import Captioned, Field
from vault.screens.widgets.hand_area import HandArea
from vault.screens.widgets.labels import ElidedLabel, label

_WIDTH = 560
# What a window's own frame takes of the screen.
_ABOVE = 40
# What is seen above and below the field that has the hand.
_ROOM_AROUND = 40
_FINAL = "It stays in the daybook; a mistake is struck with a reason, never erased."
_CAME_BACK = "Taken back as it was begun before; look it over, or leave without recording."


class Form(QDialog):
    """One small form; it closes by itself once its entry is recorded.

    Signals:
        recorded: a sentence on what was recorded, and the number of its entry.
    """

    recorded = Signal(str, int)

    name = ""  # by which its draft is known

    def __init__(self, kit: FormKit, title: str, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setAttribute(Qt.WidgetAttribute.WA_DeleteOnClose)
        self.setProperty("kind", "form")
        self.setWindowTitle(title)
        self.kit = kit
        self._key = uuid.uuid4().hex
        self._fields: list[Field] = []
        self._is_recording = False
        self._asker = kit.background.asker(self)
        self.heading = ElidedLabel(size=Size.HEADING, bold=True)
        self.what = ElidedLabel(kind="soft")
        self.cautions = QVBoxLayout()
        self.body = QVBoxLayout()
        self.came_back = Note(_CAME_BACK)
        self.finding = Note()
        self.refusal = Caution("")
        self.note = Field("note", "anything worth keeping")
        self.when = WhenField(partial(kit.questions.now, kit.book))
        self.record_button = QPushButton("Record it")
        self.leave_button = QPushButton("Leave without recording")
        self._draft = kit.drafts.draft(self.name, self)
        self._lay_out()
        self._connect()
        self.came_back.hide()
        self.say_finding("")
        self.refuse("")

    # --- what a form of its own fills in --------------------------------------------------------

    def subject(self) -> str:
        """Give what the form is about, by which its draft is told from that of another thing."""
        raise NotImplementedError

    def content(self) -> dict[str, object]:
        """Give what stands in the fields, as a draft keeps it."""
        raise NotImplementedError

    def fill(self, content: dict[str, Any]) -> None:
        """Put what a draft kept into the fields."""
        raise NotImplementedError

    def lacks(self) -> tuple[str, QWidget] | None:
        """Say what is still to be filled in and where, or None."""
        raise NotImplementedError

    def operation(self, key: str) -> Callable[[Any], Changes]:
        """Give what is done with the book, under the key of this form's draft."""
        raise NotImplementedError

    def told(self) -> str:
        """Say what was recorded: `B-0031 weighed, 1 004.60 g`."""
        raise NotImplementedError

    def take_scan(self, text: str) -> bool:
        """Take what was scanned while the form lies open; no where it has no use for it."""
        del text
        return False

    # --- what a form of its own calls -----------------------------------------------------------

    def show_subject(self, heading: str, what: str, cautions: Sequence[str] = ()) -> None:
        """Say what the form is about, with the cautions that belong to it."""
        self.heading.setText(heading)
        self.what.setText(what)
        while (part := self.cautions.takeAt(0)) is not None:
            widget = part.widget()
            if widget is not None:
                widget.deleteLater()
        for words in cautions:
            caution = Caution(words)
            self.cautions.addWidget(caution)
            # A layout shows what it is given only later.
            caution.show()

    def put(self, caption: str, field: QWidget) -> None:
        """Put a field into the body, below those before it."""
        self.body.addWidget(Captioned(caption, field))
        if isinstance(field, Field):
            self.follow(field)

    def follow(self, field: Field) -> None:
        """Let Enter in a field lead on, and keep what is typed in it."""
        self._fields.append(field)
        field.edited.connect(self.on_edited)
        field.taken.connect(partial(self._on_field_taken, field))

    def follow_first(self, field: Field, place: int) -> None:
        """The same for a field that an answer brings late: Enter comes to it at this place."""
        self.follow(field)
        self._fields.insert(place, self._fields.pop())

    def put_last(self, *, with_note: bool = True) -> None:
        """Put the note and the moment below everything, and go to the first field."""
        if with_note:
            row = QHBoxLayout()
            row.setSpacing(12)
            row.addWidget(Captioned("Note", self.note), 3)
            row.addWidget(Captioned("When", self.when), 2)
            self.body.addLayout(row)
            for one in (self.note, self.when):
                self.follow(one)
        self._draft.came_back.connect(self._on_draft_came_back)
        self._draft.of(self.kit.book)
        if self._fields:
            self._fields[0].setFocus()

    def go_to_button(self) -> None:
        """Put the hand on the main button, which the next Enter presses.

        Not before this Enter has been dealt with: it comes up to the form behind the field, and
        would press the button there and then.
        """
        QTimer.singleShot(0, self.record_button, self.record_button.setFocus)

    def say_finding(self, sentence: str) -> None:
        """Say something worth a look; it can be recorded all the same."""
        self.finding.words.setText(sentence)
        self.finding.setVisible(bool(sentence))

    def refuse(self, sentence: str) -> None:
        """Say why it was not recorded."""
        self.refusal.words.setText(sentence)
        self.refusal.setVisible(bool(sentence))

    def ask(self, question: Callable[[], Any], then: Callable[[Any], None]) -> None:
        """Ask the book something off the window's thread; a refusal is said in the form."""
        self._asker.ask(question, then, self._on_failed)

    def on_edited(self) -> None:
        """Something was typed: what was refused before is of the past, and a draft is kept."""
        self.refuse("")
        self._draft.keep(
            {
                **self.content(),
                "subject": self.subject(),
                "key": self._key,
                "note": self.note.text,
                "when": self.when.text,
            }
        )

    def record(self) -> None:
        """Have it recorded, or say what it lacks."""
        if self._is_recording:
            return
        lacking = self.lacks() or self._trouble_of_fields()
        if lacking is not None:
            sentence, where = lacking
            self.refuse(sentence)
            where.setFocus()
            return
        self._is_recording = True
        self.record_button.setEnabled(False)
        self.kit.recorder.record(self.operation(self._key), self._on_recorded, self._on_failed)

    def after_recording(self, changes: Changes) -> None:
        """Go, once it is recorded; a form that shows what was learnt stays."""
        del changes
        self.accept()

    # --- its own --------------------------------------------------------------------------------

    def _lay_out(self) -> None:
        self.record_button.setProperty("kind", "first")
        self.record_button.setToolTip("Record it (Ctrl+Enter)")
        self.leave_button.setToolTip("Nothing is recorded (Escape)")
        for button in (self.record_button, self.leave_button):
            button.setProperty("is_tall", True)  # noqa: FBT003  Qt knows no keywords here
            button.setAutoDefault(False)
        self.body.setSpacing(10)
        self.cautions.setSpacing(6)
        self._inside = QWidget()
        column = QVBoxLayout(self._inside)
        column.setContentsMargins(22, 16, 22, 4)
        column.setSpacing(8)
        column.addWidget(self.heading)
        column.addWidget(self.what)
        column.addLayout(self.cautions)
        column.addWidget(self.came_back)
        column.addLayout(self.body)
        column.addWidget(self.finding)
        column.addWidget(self.refusal)
        column.addStretch(1)
        # What is too high for the screen is scrolled; the buttons stay in sight.
        self._area = HandArea(_ROOM_AROUND)
        self._area.setWidget(self._inside)
        self._inside.setAutoFillBackground(False)
        self._inside.installEventFilter(self)
        outer = QVBoxLayout(self)
        outer.setContentsMargins(0, 0, 0, 0)
        outer.setSpacing(0)
        outer.addWidget(self._area, 1)
        outer.addLayout(self._foot())
        self.setMinimumWidth(_WIDTH)

    def _foot(self) -> QVBoxLayout:
        buttons = QHBoxLayout()
        buttons.setSpacing(10)
        buttons.addWidget(self.leave_button)
        buttons.addWidget(self.record_button, 1)
        self._foot_part = QVBoxLayout()
        self._foot_part.setContentsMargins(22, 8, 22, 16)
        self._foot_part.setSpacing(8)
        self._foot_part.addLayout(buttons)
        self._foot_part.addWidget(label(_FINAL, size=Size.SMALL, kind="soft", wrap=True))
        return self._foot_part

    def _grow(self) -> None:
        """Grow with what is said in it, as far as the screen has room; it never shrinks."""
        inside, outer = self._inside.layout(), self.layout()
        if inside is None or outer is None:
            return
        foot = self._foot_part.sizeHint().height()
        has_width = inside.hasHeightForWidth()
        high = inside.totalHeightForWidth(self.width()) if has_width else -1
        wanted = foot + (high if high > 0 else inside.totalSizeHint().height())
        room = self.screen().availableGeometry().height() - _ABOVE
        if wanted > self.height() < room:
            self.resize(self.width(), min(wanted, room))
            self._stay_on_screen()

    def _stay_on_screen(self) -> None:
        """Move up where it grew below the edge of the screen: the buttons are there."""
        screen = self.screen().availableGeometry()
        below = self.frameGeometry().bottom() - screen.bottom()
        if below > 0:
            self.move(self.x(), max(screen.top(), self.y() - below))

    def _connect(self) -> None:
        self.record_button.clicked.connect(self.record)
        self.leave_button.clicked.connect(self.reject)
        for keys in ("Ctrl+Return", "Ctrl+Enter"):
            QShortcut(QKeySequence(keys), self).activated.connect(self.record)
        # The window's own shortcut rests while a form lies over it.
        QShortcut(QKeySequence("F8"), self).activated.connect(self.kit.take_weight)

    def _trouble_of_fields(self) -> tuple[str, QWidget] | None:
        return next(((told, one) for one in self._fields if (told := one.trouble())), None)

    def _on_field_taken(self, field: Field) -> None:
        seen = [one for one in self._fields if one.isVisibleTo(self)]
        place = seen.index(field) + 1 if field in seen else len(seen)
        # The note and the moment are seldom wanted: Enter goes past them.
        if place < len(seen) and seen[place] not in {self.note, self.when}:
            seen[place].setFocus()
        else:
            self.record()

    def _on_draft_came_back(self, kept: KeptDraft) -> None:
        content = dict(kept.content)
        if content.get("subject") != self.subject():
            return
        self._key = str(content.get("key") or self._key)
        self.note.write(str(content.get("note", "")))
        self.when.write(str(content.get("when", "")))
        self.fill(content)
        self.came_back.show()

    def _on_recorded(self, changes: Changes) -> None:
        self._is_recording = False
        self._draft.drop()
        number = changes.entries[-1] if changes.entries else 0
        self.recorded.emit(f"{self.told()}: entry {number}.", number)
        self.after_recording(changes)

    def _on_failed(self, error: BaseException) -> None:
        self._is_recording = False
        self.record_button.setEnabled(True)
        if is_trouble(error):
            self.refuse(sentence_of(error))
        else:
            self.kit.background.failed.emit(error)

    @override
    def eventFilter(self, watched: QObject, event: QEvent) -> bool:
        if watched is self._inside and event.type() is QEvent.Type.LayoutRequest:
            self._grow()
        return super().eventFilter(watched, event)

    @override
    def showEvent(self, event: QShowEvent) -> None:
        super().showEvent(event)
        self._grow()

    @override
    def keyPressEvent(self, event: QKeyEvent) -> None:
        # Elsewhere Enter belongs to the fields.
        if not press_in_hand(self, event):
            super().keyPressEvent(event)

    @override
    def reject(self) -> None:
        # What is being written cannot be called back; its answer comes in a moment.
        if not self._is_recording:
            self._draft.drop()
            super().reject()
