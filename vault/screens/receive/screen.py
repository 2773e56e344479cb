"""Receive a lot: one page, from the customer's name to the tags and the receipt."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from datetime import UTC, datetime
from functools import partial
from pathlib import Path
from typing import Protocol

from PySide6.QtCore import Qt, QTimer
from PySide6.QtGui import QKeySequence, QShortcut
from PySide6.QtWidgets import QHBoxLayout, QPushButton, QStackedWidget, QVBoxLayout, QWidget
from typing_extensions import override

from vault.application.drafts import KeptDraft
from vault.application.operations.receipt_draft import ReceiptDraft
from vault.application.queries.answers.receive import ReceiptHelp, ReceiptPreview
from vault.core.daybook import Process
from vault.screens.background import Background
from vault.screens.commands import Commands
from vault.screens.drafts import DraftDesk
from vault.screens.house_style import HouseStyle
from vault.screens.look import GAP, Size
from vault.screens.numbers import day
from vault.screens.receive.bag_card import BagCard, Weights
from vault.screens.receive.done_page import DonePage, ReceivedLot
from vault.screens.receive.form import ReceiveForm
from vault.screens.receive.questions import ReceiveQuestions
from vault.screens.receive.summary import Summary
from vault.screens.recorder import Recorder
from vault.screens.screen import Screen
from vault.screens.widgets.labels import ElidedLabel, label

DRAFT = "receive"
_PAUSE_MS = 150
_FORM, _DONE = 0, 1
_LEAVE, _BACK = "Leave without recording", "Back"


class Papers(Protocol):
    """Prints what goes with a lot: its receipt, and the tags of its bags."""

    def receipt(self, book: object, entry: int) -> None:
        """Show the receipt of an entry, to be printed or saved."""

    def tags(self, book: object, tags: Sequence[str]) -> None:
        """Print tags."""


@dataclass(frozen=True, slots=True)
class Hands:
    """What the screen works with besides asking.

    Attributes:
        recorder: records.
        drafts: keep what is typed over a crash.
        weights: make fields that look at the scale.
        papers: print; None where nothing can be printed.
        choose_picture: asks for the file of a picture; None where nobody can be asked.
        may_work: whether works can be begun from here.
    """

    recorder: Recorder
    drafts: DraftDesk
    weights: Weights
    papers: Papers | None = None
    choose_picture: Callable[[QWidget], Path | None] | None = None
    may_work: bool = False


class ReceiveScreen(Screen):
    """Asks what it wants to know, previews as it is filled in, and records."""

    has_own_bar = True

    def __init__(
        self,
        questions: ReceiveQuestions,
        background: Background,
        style: HouseStyle,
        commands: Commands,
        hands: Hands,
    ) -> None:
        super().__init__()
        self._questions = questions
        self._background = background
        self._style = style
        self._hands = hands
        self._help: ReceiptHelp | None = None
        self._asked_at = datetime.now(UTC)
        self._key = ""
        self._received: ReceivedLot | None = None
        self._ask_help = background.asker(self)
        self._ask_preview = background.asker(self)
        self._draft = hands.drafts.draft(DRAFT, self)
        self.form = ReceiveForm(style, hands.weights, self._now)
        self.summary = Summary(style)
        self.done = DonePage()
        self.came_back = ElidedLabel(kind="soft", size=Size.SECOND)
        self.begin_anew = QPushButton("Begin anew")
        self._pause = QTimer(self)
        self._lay_out(commands)
        self._connect()

    # --- what the window calls ------------------------------------------------------------------

    @override
    def show_book(self, book: object | None) -> None:
        self._book = book
        self._ask_help.forget()
        self._ask_preview.forget()
        self._help = None
        self._begin()
        self._draft.of(book)
        self.refresh()

    @override
    def refresh(self) -> None:
        """Ask for names and numbers anew; what is typed stays."""
        if self._book is not None:
            self._asked_at = datetime.now(UTC)
            self._ask_help.ask(partial(self._questions.help, self._book), self._on_help_answered)

    @override
    def choose(self, name: str) -> None:
        """Show the form, with a lot in it where one is named, to receive more of it."""
        if self._pages.currentIndex() == _DONE:
            self._begin()
        if name:
            self.form.lot.lot.write(name)
        self.form.setFocus()

    @override
    def scanned(self, text: str) -> bool:
        """Put a tag that was printed before on the bag in which the hand is."""
        if self._pages.currentIndex() != _FORM or self._book is None:
            return False
        self.form.bags.take_scan(text)
        return True

    @override
    def leave(self) -> None:
        self._pause.stop()

    # --- building -------------------------------------------------------------------------------

    def _lay_out(self, commands: Commands) -> None:
        form = QWidget()
        row = QHBoxLayout(form)
        row.setContentsMargins(GAP + 6, GAP, GAP + 6, GAP)
        row.setSpacing(GAP)
        row.addWidget(self.form, 20)
        row.addWidget(self.summary, 9)
        self._pages = QStackedWidget()
        self._pages.addWidget(form)
        self._pages.addWidget(self.done)
        column = QVBoxLayout(self)
        column.setContentsMargins(0, 0, 0, 0)
        column.setSpacing(0)
        column.addWidget(self._bar(commands))
        column.addWidget(self._pages, 1)
        self.done.offer_papers(
            receipt=self._hands.papers is not None, tags=self._hands.papers is not None
        )
        self.done.offer_works(on=self._hands.may_work)
        self.setFocusProxy(self.form)

    def _bar(self, commands: Commands) -> QWidget:
        bar = QWidget()
        bar.setObjectName("top_bar")
        bar.setAttribute(Qt.WidgetAttribute.WA_StyledBackground)
        self.leave_button = QPushButton(_LEAVE)
        self.leave_button.setToolTip("What is typed stays here until you come back.")
        self.leave_button.clicked.connect(commands["back"].trigger)
        self.begin_anew.setToolTip("Throw away what is typed, and begin with an empty form")
        self.begin_anew.clicked.connect(self._on_begin_anew_clicked)
        row = QHBoxLayout(bar)
        row.setContentsMargins(GAP + 6, 14, GAP + 6, 14)
        row.setSpacing(14)
        row.addWidget(self.leave_button)
        row.addWidget(label("Receive a lot", size=Size.HEADING, bold=True))
        row.addWidget(self.came_back, 1)
        row.addWidget(self.begin_anew)
        return bar

    def _connect(self) -> None:
        self._pause.setSingleShot(True)
        self._pause.setInterval(_PAUSE_MS)
        self._pause.timeout.connect(self._ask_for_preview)
        self.form.edited.connect(self._on_form_edited)
        self.form.finished.connect(self.summary.button.setFocus)
        self.form.bags.takes_photos = self._hands.choose_picture is not None
        self.form.bags.photo_wanted.connect(self._on_photo_wanted)
        self.form.bags.tags_wanted.connect(self._on_tags_wanted)
        self.form.bags.tag_free.connect(self._on_tag_free)
        self.summary.button.clicked.connect(self._record)
        self.summary.finding_chosen.connect(self.form.go_to)
        self.done.another_wanted.connect(self._begin)
        self.done.receipt_wanted.connect(self._print_receipt)
        self.done.tags_wanted.connect(self._print_tags)
        self.done.lot_wanted.connect(self._on_lot_wanted)
        self.done.work_wanted.connect(self._on_work_wanted)
        self._draft.came_back.connect(self._on_draft_came_back)
        self._style.changed.connect(self.summary.restyle)
        for keys in ("Ctrl+Return", "Ctrl+Enter"):
            everywhere = QShortcut(QKeySequence(keys), self)
            everywhere.setContext(Qt.ShortcutContext.WidgetWithChildrenShortcut)
            everywhere.activated.connect(self._record)

    # --- the form -------------------------------------------------------------------------------

    def _now(self) -> datetime:
        """Tell the moment by the book's own clock, which a demonstration sets otherwise."""
        if self._help is None:
            return datetime.now(UTC)
        return self._help.now + (datetime.now(UTC) - self._asked_at)

    def _begin(self) -> None:
        self._key = self._questions.new_key()
        self._received = None
        self.came_back.setText("")
        self.begin_anew.hide()
        self._pages.setCurrentIndex(_FORM)
        self.leave_button.setText(_LEAVE)
        self.form.begin()
        self.refresh()
        self._pause.start()
        self.form.setFocus()

    def _on_help_answered(self, known: ReceiptHelp) -> None:
        self._help = known
        self.form.offer(known)
        self._pause.start()

    def _on_form_edited(self) -> None:
        self._pause.start()
        if self.form.is_blank:
            self._draft.drop()
        else:
            self._draft.keep(self.form.content() | {"key": self._key})
        self.begin_anew.setVisible(not self.form.is_blank)

    def _on_draft_came_back(self, kept: KeptDraft) -> None:
        self._key = str(kept.content.get("key") or self._key)
        self.form.restore(kept.content)
        at = kept.at.astimezone(self._now().tzinfo)
        self.came_back.setText(f"What was typed on {day(at.date())}, {at:%H:%M}, is back.")
        self.begin_anew.show()
        self._pause.start()

    def _on_begin_anew_clicked(self) -> None:
        self._draft.drop()
        self._begin()

    def _on_tags_wanted(self, owners: Sequence[str]) -> None:
        book = self._book
        if book is not None:
            propose = self._questions.propose_tags
            self._background.ask(
                # One after the other: they follow each other as the bags do.
                lambda: [propose(book, owner, 1)[0] for owner in owners],
                partial(self._on_tags_answered, book, owners),
            )

    def _on_tags_answered(self, book: object, owners: Sequence[str], tags: Sequence[str]) -> None:
        if book is self._book:
            for owner, tag in zip(owners, tags, strict=True):
                self.form.bags.take_tag(owner, tag)
            self._pause.start()

    def _on_tag_free(self, owner: str) -> None:
        if self._book is not None:
            free = partial(self._questions.let_tags_go, self._book, owner)
            self._background.ask(free, lambda _nothing: None)

    def _on_photo_wanted(self, card: BagCard) -> None:
        if self._hands.choose_picture is not None:
            file = self._hands.choose_picture(self)
            if file is not None:
                card.photo.show_file(file)
                self._on_form_edited()

    # --- previewing and recording ---------------------------------------------------------------

    def _ask_for_preview(self) -> None:
        if self._book is not None:
            self._ask_preview.ask(
                partial(self._questions.preview, self._book, self.form.draft()),
                self._on_preview_answered,
            )

    def _on_preview_answered(self, preview: ReceiptPreview) -> None:
        self.summary.show_preview(preview)
        if self.form.take_preview(preview):
            self._pause.start()

    def _record(self) -> None:
        """Look at everything once more, and record it if nothing stands against it."""
        if self._book is None or not self.summary.button.isEnabled():
            return
        self._pause.stop()
        receipt = self.form.draft()
        self._ask_preview.ask(
            partial(self._questions.preview, self._book, receipt),
            partial(self._on_last_look_answered, receipt),
        )

    def _on_last_look_answered(self, receipt: ReceiptDraft, preview: ReceiptPreview) -> None:
        self._on_preview_answered(preview)
        self.form.look()
        unclear = self.form.trouble()
        if unclear is not None:
            unclear[0].setFocus()
            return
        if self.form.draft() != receipt:
            self._record()
            return
        if not preview.may_be_recorded:
            self.form.go_to(preview.findings[0])
            return
        self.summary.name_button(len(receipt.bags), busy=True)
        key = self._key
        self._hands.recorder.record(
            lambda book: self._questions.receive(book, receipt, key),
            partial(self._on_recorded, receipt, preview),
            self._on_recording_failed,
            f"Receiving lot {receipt.lot} …",
        )

    def _on_recorded(self, receipt: ReceiptDraft, preview: ReceiptPreview, changes: object) -> None:
        self._draft.drop()
        self.form.begin()
        entries = getattr(changes, "entries", ())
        self._received = ReceivedLot(
            lot=receipt.lot,
            sentence=self._sentence(receipt, preview, entries),
            tags=tuple(bag.tag for bag in receipt.bags),
            is_held=receipt.hold_until is not None,
            entry=entries[0] if entries else 0,
        )
        self.summary.name_button(1)
        self.came_back.setText("")
        self.begin_anew.hide()
        self._pages.setCurrentIndex(_DONE)
        self.leave_button.setText(_BACK)
        self.done.show_lot(self._received)
        self._print_tags()
        self._print_receipt()

    def _sentence(
        self, receipt: ReceiptDraft, preview: ReceiptPreview, entries: Sequence[int]
    ) -> str:
        bags = len(receipt.bags)
        whose = f"from {receipt.party}" if receipt.party else "of our own"
        weighed = bags > preview.not_weighed
        weight = f", {self._style.numbers.weight(preview.net_ug)}" if weighed else ""
        entry = f" as entry {entries[0]}" if entries else ""
        verb = "is" if bags == 1 else "are"
        held = ""
        if receipt.hold_until is not None:
            held = f" It is held until {day(receipt.hold_until)}."
        size = "1 bag" if bags == 1 else f"{bags} bags"
        return f"{size} {whose}{weight}, {verb} recorded{entry}.{held}"

    def _on_recording_failed(self, error: BaseException) -> None:
        self.summary.name_button(len(self.form.bags.counted()))
        self._background.failed.emit(error)

    # --- papers, and what comes next ------------------------------------------------------------

    def _print_receipt(self) -> None:
        papers, received = self._hands.papers, self._received
        if papers is not None and received is not None and self._book is not None:
            papers.receipt(self._book, received.entry)

    def _print_tags(self) -> None:
        papers, received = self._hands.papers, self._received
        if papers is not None and received is not None and self._book is not None:
            papers.tags(self._book, received.tags)

    def _on_lot_wanted(self) -> None:
        if self._received is not None:
            self.place_wanted.emit("lots", self._received.lot)

    def _on_work_wanted(self, process: Process) -> None:
        if self._received is not None:
            self.work_wanted.emit(process, self._received.tags)
