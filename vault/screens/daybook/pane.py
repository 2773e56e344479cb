"""The chosen entry in full: its lines, when it was recorded, what leans on it."""

from __future__ import annotations

from functools import partial

from PySide6.QtCore import Qt, Signal, SignalInstance
from PySide6.QtGui import QAction, QGuiApplication
from PySide6.QtWidgets import QPushButton, QVBoxLayout, QWidget

from vault.application.queries.answers.daybook import EntryDetail
from vault.core.daybook import Act
from vault.screens.daybook.columns import moment_words
from vault.screens.look import Size
from vault.screens.widgets.empty import button_of
from vault.screens.widgets.labels import label, line
from vault.screens.widgets.links import Links
from vault.screens.widgets.pane import Pane

_MOST_LINES = 60
_HEAD_PART = 8


class EntryPane(Pane):
    """Shows one `EntryDetail`, or says that nothing is chosen.

    Signals:
        item_wanted: the tag of an item to be shown in the Safe.
        entry_wanted: the number of another entry.
        papers_wanted: the number of an entry that sent a shipment; its packing list is wanted.
        own_estimate_wanted: the same of the sheet with the shop's own estimate.
    """

    item_wanted = Signal(str)
    entry_wanted = Signal(int)
    papers_wanted = Signal(int)
    own_estimate_wanted = Signal(int)

    def __init__(self, strike: QAction, parent: QWidget | None = None) -> None:
        self.strike_button = button_of(strike)
        self.copy_button = QPushButton("Copy")
        self.copy_button.setToolTip("Copy what is shown here as text")
        self.papers_button = QPushButton("Packing list")
        self.papers_button.setToolTip("Print the papers of this shipment once more")
        self.own_button = QPushButton("Own estimate")
        self.own_button.setToolTip("Print what you think is in it, for your own file alone")
        super().__init__(
            "Choose an entry to see each of its lines, when it was recorded and what leans on it.",
            [self.papers_button, self.own_button, self.strike_button, self.copy_button],
            parent=parent,
        )
        self._detail: EntryDetail | None = None
        self._shows_all = False
        self.copy_button.clicked.connect(self._on_copy_clicked)
        self.papers_button.clicked.connect(partial(self._on_paper_clicked, self.papers_wanted))
        self.own_button.clicked.connect(partial(self._on_paper_clicked, self.own_estimate_wanted))

    @property
    def detail(self) -> EntryDetail | None:
        """What is shown."""
        return self._detail

    def show_detail(self, detail: EntryDetail) -> None:
        """Show an entry."""
        self._detail, self._shows_all = detail, False
        self._fill(detail)

    def clear(self) -> None:
        """Say that nothing is chosen."""
        self._detail = None
        super().clear()

    def _fill(self, detail: EntryDetail) -> None:
        row = detail.row
        self.strike_button.setVisible(row.struck_by is None and row.strikes is None)
        for button in (self.papers_button, self.own_button):
            button.setVisible(row.act is Act.SEND)
        what = f"{row.act.value} · {moment_words(row.day, row.at)} · {row.by}"
        parts = [*self._standing(detail), label(row.words, wrap=True), self._lines(detail)]
        if row.tags:
            parts.append(label("Its items", size=Size.SMALL, kind="soft"))
            tags = Links(row.tags, "{name} in the Safe", across=3)
            tags.wanted.connect(self.item_wanted)
            parts.append(tags)
        parts += self._leaning(detail)
        parts.append(_proof(detail))
        self.show_parts(f"Entry {row.number}", what, parts)

    def _standing(self, detail: EntryDetail) -> list[QWidget]:
        row = detail.row
        if row.struck_by is not None:
            told, other = f"Struck, because: {row.reason}", row.struck_by
            shown = "by entry {name}"
        elif row.strikes is not None:
            told, other = f"It strikes, because: {row.reason}", row.strikes
            shown = "entry {name}"
        else:
            return []
        return [
            label(told, kind="attention", wrap=True),
            self._entry_links([other], "To entry {name}", shown),
        ]

    def _lines(self, detail: EntryDetail) -> QWidget:
        inside = QWidget()
        column = QVBoxLayout(inside)
        column.setContentsMargins(0, 0, 0, 0)
        column.setSpacing(5)
        many = len(detail.lines)
        told = "Its line" if many == 1 else f"Its {many} lines"
        column.addWidget(label(told, size=Size.SMALL, kind="soft"))
        shown = detail.lines if self._shows_all else detail.lines[:_MOST_LINES]
        for one in shown:
            column.addWidget(line())
            column.addWidget(label(one, size=Size.SECOND, wrap=True))
        if many > len(shown):
            button = QPushButton(f"Show all {many} lines")
            button.setProperty("kind", "link")
            button.clicked.connect(self._on_all_clicked)
            column.addWidget(button)
        return inside

    def _leaning(self, detail: EntryDetail) -> list[QWidget]:
        if not detail.leaned_on_by:
            return []
        told = "What leans on it; it can only be struck after these"
        return [
            label(told, size=Size.SMALL, kind="soft", wrap=True),
            self._entry_links(list(detail.leaned_on_by), "Entry {name} leans on this one"),
        ]

    def _entry_links(self, entries: list[int], tip: str, shown: str = "{name}") -> Links:
        links = Links([str(one) for one in entries], tip, shown=shown)
        links.wanted.connect(self._on_entry_clicked)
        return links

    def _on_entry_clicked(self, number: str) -> None:
        self.entry_wanted.emit(int(number))

    def _on_all_clicked(self) -> None:
        if self._detail is not None:
            self._shows_all = True
            self._fill(self._detail)

    def _on_paper_clicked(self, wanted: SignalInstance) -> None:
        if self._detail is not None:
            wanted.emit(self._detail.row.number)

    def _on_copy_clicked(self) -> None:
        if self._detail is not None:
            QGuiApplication.clipboard().setText(words_of_entry(self._detail))


def words_of_entry(detail: EntryDetail) -> str:
    """Give all that is known of an entry as lines of text."""
    row = detail.row
    told = [
        f"Entry {row.number}, {row.act.value}, {moment_words(row.day, row.at)}, {row.by}",
        row.words,
        *(f"  {one}" for one in detail.lines),
        f"struck by entry {row.struck_by}: {row.reason}" if row.struck_by is not None else "",
        _recorded(detail),
        f"head {detail.head}",
    ]
    return "\n".join(one for one in told if one)


def _recorded(detail: EntryDetail) -> str:
    return f"recorded {moment_words(detail.recorded_at.date(), detail.recorded_at)}"


def _proof(detail: EntryDetail) -> QWidget:
    inside = QWidget()
    column = QVBoxLayout(inside)
    column.setContentsMargins(0, 0, 0, 0)
    column.setSpacing(3)
    column.addWidget(label(_recorded(detail), size=Size.SMALL, kind="soft"))
    column.addWidget(label("head of the chain up to it", size=Size.SMALL, kind="soft"))
    head = detail.head
    parts = [head[at : at + _HEAD_PART] for at in range(0, len(head), _HEAD_PART)]
    told = label(" ".join(parts), size=Size.SMALL, wrap=True)
    told.setTextInteractionFlags(Qt.TextInteractionFlag.TextSelectableByMouse)
    column.addWidget(told)
    return inside
