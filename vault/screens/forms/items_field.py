"""The items that an entry is about: scanned or typed one after the other, each with its line."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from functools import partial

from PySide6.QtCore import Signal
from PySide6.QtWidgets import QFrame, QHBoxLayout, QScrollArea, QToolButton, QVBoxLayout, QWidget

from vault.application.queries.answers.bench import ItemBrief
from vault.core.tags import Scan
from vault.screens.forms.item_form import words_of
from vault.screens.forms.kit import FormKit
from vault.screens.widgets.fields import TROUBLE, Field
from vault.screens.widgets.labels import ElidedLabel, label

_ROW = 44
_MOST_ROWS_SEEN = 4
_MISREAD = "That scan was misread; hold the scanner still and scan it once more."


class ItemsField(QWidget):
    """Keeps a list of items on hand; the next tag is scanned or typed in the line above it.

    Signals:
        edited: an item came or went.
        taken: Enter in the empty line; all items are there.
        troubled: a sentence on a tag that could not be taken.
    """

    edited = Signal()
    taken = Signal()

    def __init__(self, kit: FormKit, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._kit = kit
        self._asker = kit.background.asker(self)
        self._briefs: dict[str, ItemBrief] = {}
        self.line = Field("another item", "scan or type another tag; Enter once all are here")
        self.line.taken.connect(self._on_line_taken)
        self.count = label(kind="soft")
        self._rows = QVBoxLayout()
        self._rows.setContentsMargins(0, 0, 0, 0)
        self._rows.setSpacing(0)
        inside = QWidget()
        inside.setLayout(self._rows)
        self._area = QScrollArea()
        self._area.setWidgetResizable(True)
        self._area.setFrameShape(QFrame.Shape.NoFrame)
        self._area.setWidget(inside)
        inside.setAutoFillBackground(False)
        column = QVBoxLayout(self)
        column.setContentsMargins(0, 0, 0, 0)
        column.setSpacing(4)
        for part in (self._area, self.line, self.count):
            column.addWidget(part)
        self.setFocusProxy(self.line)
        self._arrange()

    @property
    def tags(self) -> tuple[str, ...]:
        """The tags of the items, in the order in which they came."""
        return tuple(self._briefs)

    @property
    def briefs(self) -> tuple[ItemBrief, ...]:
        """The items in short."""
        return tuple(self._briefs.values())

    def take(self, tags: Sequence[str]) -> None:
        """Take items by their tags, once the book has told what they are."""
        kit = self._kit
        self._asker.ask(
            partial(kit.questions.briefs, kit.book, tuple(tags)), partial(self._on_briefs, tags)
        )

    def take_scan(self, text: str) -> None:
        """Take the item of a scan."""
        kit = self._kit
        self._asker.ask(partial(kit.questions.read_scan, kit.book, text), self._on_scan)

    def trouble(self) -> str:
        """Say which of the items nothing can be done with; empty where all are on hand."""
        return next((one.trouble for one in self._briefs.values() if one.trouble), "")

    def _on_line_taken(self) -> None:
        if self.line.text:
            self.take_scan(self.line.text)
        else:
            self.taken.emit()

    def _on_scan(self, scan: Scan) -> None:
        if scan.is_misread:
            self.line.said_of_it.say(_MISREAD, TROUBLE)
        else:
            self.take([scan.tag or scan.text])

    def _on_briefs(self, tags: Sequence[str], found: Mapping[str, ItemBrief]) -> None:
        for tag in tags:
            brief = found.get(tag)
            if brief is None:
                told = f"There is no item {tag} in this book; check the tag."
                self.line.said_of_it.say(told, TROUBLE)
            elif brief.trouble:
                self.line.said_of_it.say(brief.trouble, TROUBLE)
            elif tag in self._briefs:
                self.line.said_of_it.say(f"{tag} is in the list already.")
                self.line.line.clear()
            else:
                self._briefs[tag] = brief
                self.line.said_of_it.say("")
                self.line.line.clear()
        self._arrange()
        self.edited.emit()

    def _drop(self, tag: str) -> None:
        self._briefs.pop(tag, None)
        self._arrange()
        self.line.line.setFocus()
        self.edited.emit()

    def _arrange(self) -> None:
        while (part := self._rows.takeAt(0)) is not None:
            widget = part.widget()
            if widget is not None:
                widget.hide()
                widget.deleteLater()
        for brief in self._briefs.values():
            row = _Row(brief, self._kit)
            row.remove.clicked.connect(partial(self._drop, brief.tag))
            self._rows.addWidget(row)
        self._rows.addStretch(1)
        many = len(self._briefs)
        self._area.setVisible(bool(many))
        self._area.setFixedHeight(_ROW * min(many, _MOST_ROWS_SEEN) + 2)
        self.count.setText(f"{many} items" if many > 1 else "")
        self.count.setVisible(many > 1)


class _Row(QWidget):
    """One item, and the cross that takes it off the list."""

    def __init__(self, brief: ItemBrief, kit: FormKit) -> None:
        super().__init__()
        tag = label(brief.tag, bold=True)
        self.remove = QToolButton()
        self.remove.setText("×")
        self.remove.setProperty("kind", "plain")
        self.remove.setToolTip(f"Take {brief.tag} off the list")
        self.remove.setAccessibleName(f"Take {brief.tag} off the list")
        self.remove.setFixedSize(_ROW, _ROW)
        row = QHBoxLayout(self)
        row.setContentsMargins(0, 0, 0, 0)
        row.setSpacing(12)
        row.addWidget(tag)
        row.addWidget(ElidedLabel(words_of(brief, kit.style.numbers), kind="soft"), 1)
        row.addWidget(self.remove)
