"""The strip that says whether the daybook is as it was recorded, and proves it again."""

from __future__ import annotations

from collections.abc import Callable
from functools import partial

from PySide6.QtCore import QTimer
from PySide6.QtGui import QGuiApplication
from PySide6.QtWidgets import QFrame, QHBoxLayout, QPushButton, QWidget

from vault.application.queries.answers.daybook import ChainProof
from vault.core.errors import VaultError
from vault.screens.background import Background, Progress
from vault.screens.house_style import HouseStyle
from vault.screens.widgets.labels import ElidedLabel, dress

_LOOK_EVERY_MS = 150
_SHORT_HEAD = 8
PROVE_AGAIN = "Prove it again"
STOP = "Stop"


class ProofStopped(VaultError):
    """The reader asked to stop the proof."""


class Watch:
    """What the worker tells of its progress, and how it is asked to stop.

    Both threads write and read plain numbers of their own; none of them waits for the other.
    """

    def __init__(self) -> None:
        self.done = 0
        self.of = 0
        self.is_stopped = False

    def __call__(self, done: int, of: int) -> None:
        """Note how far the proof is.

        Raises:
            ProofStopped: when it is to stop.
        """
        self.done, self.of = done, of
        if self.is_stopped:
            raise ProofStopped("The proof was stopped.")


class ProofStrip(QFrame):
    """Proves the chain off the window's thread and tells what came of it."""

    def __init__(
        self,
        chain_proof: Callable[[object, Progress], ChainProof],
        background: Background,
        style: HouseStyle,
        parent: QWidget | None = None,
    ) -> None:
        super().__init__(parent)
        self.setProperty("kind", "card")
        self._chain_proof = chain_proof
        self._background = background
        self._style = style
        self._asker = background.asker(self)
        self._book: object | None = None
        self._watch: Watch | None = None
        self._proof: ChainProof | None = None
        self.words = ElidedLabel()
        self.copy_button = QPushButton("Copy the head")
        self.copy_button.setToolTip("Copy the head of the chain, to keep it outside this book")
        self.copy_button.clicked.connect(self._on_copy_clicked)
        self.button = QPushButton(PROVE_AGAIN)
        self.button.clicked.connect(self._on_button_clicked)
        row = QHBoxLayout(self)
        row.setContentsMargins(16, 8, 10, 8)
        row.setSpacing(10)
        row.addWidget(self.words, 1)
        row.addWidget(self.copy_button)
        row.addWidget(self.button)
        self._look = QTimer(self)
        self._look.setInterval(_LOOK_EVERY_MS)
        self._look.timeout.connect(self._on_look_timeout)
        self._say("")

    @property
    def proof(self) -> ChainProof | None:
        """What the last proof told; None before the first."""
        return self._proof

    def show_book(self, book: object | None) -> None:
        """Take another book; nothing is proven of it yet."""
        if book is not self._book:
            self.leave()
            self._book, self._proof = book, None
            self._say("")

    def note_entries(self, entries: int) -> None:
        """Learn how many entries there are; a proof of fewer is no proof of these."""
        if self._proof is not None and self._proof.entries != entries:
            self._proof = None

    def prove_once(self) -> None:
        """Prove the chain, unless that was done or is being done."""
        if self._proof is None and self._watch is None:
            self.prove()

    def prove(self) -> None:
        """Prove the chain anew."""
        if self._book is None:
            return
        self.leave()
        self._watch = watch = Watch()
        self._say("Reading every entry to prove that none was altered …")
        self.button.setText(STOP)
        self._asker.ask(
            partial(self._chain_proof, self._book, watch),
            self._on_proof_answered,
            self._on_proof_failed,
        )
        self._look.start()

    def leave(self) -> None:
        """Stop what is under way."""
        if self._watch is not None:
            self._watch.is_stopped = True
            self._watch = None
        self._asker.forget()
        self._rest()

    def _rest(self) -> None:
        self._look.stop()
        self.button.setText(PROVE_AGAIN)

    def _say(self, words: str, kind: str = "soft") -> None:
        dress(self.words, kind=kind)
        # A property that the style sheet looks at is only seen when the label is polished anew.
        self.words.style().unpolish(self.words)
        self.words.style().polish(self.words)
        self.words.setText(words)
        self.copy_button.setVisible(self._proof is not None and self._watch is None)

    def _on_proof_answered(self, proof: ChainProof) -> None:
        self._watch = None
        self._proof = proof
        self._rest()
        if proof.holds:
            number = self._style.numbers.count(proof.entries)
            self._say(
                f"✓  All {number} entries are as they were recorded  ·  head "
                f"{proof.head[:_SHORT_HEAD]}…",
                "fine",
            )
            self.words.setToolTip(f"Head of the chain: {proof.head}")
        else:
            self._say(proof.words, "attention")

    def _on_proof_failed(self, error: BaseException) -> None:
        watch, self._watch = self._watch, None
        self._rest()
        if isinstance(error, ProofStopped):
            done = 0 if watch is None else watch.done
            self._say(
                f"Stopped after {self._style.numbers.count(done)} entries; nothing is proven."
            )
            return
        self._say("The proof could not be made.", "attention")
        self._background.failed.emit(error)

    def _on_look_timeout(self) -> None:
        watch = self._watch
        if watch is not None and watch.of:
            count = self._style.numbers.count
            self._say(
                f"Reading every entry to prove that none was altered: {count(watch.done)} of "
                f"{count(watch.of)}"
            )

    def _on_button_clicked(self) -> None:
        if self._watch is not None:
            self._watch.is_stopped = True
        else:
            self.prove()

    def _on_copy_clicked(self) -> None:
        if self._proof is not None:
            QGuiApplication.clipboard().setText(self._proof.head)
