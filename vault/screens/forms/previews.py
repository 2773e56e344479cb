"""What recording a form would say, asked anew as it is filled in."""

from __future__ import annotations

from collections.abc import Callable
from typing import Generic, TypeVar

from PySide6.QtCore import QObject

from vault.screens.background import Background

P = TypeVar("P")


class Previews(QObject, Generic[P]):
    """Asks for a preview; while one is on its way, once more when it is there."""

    def __init__(
        self,
        background: Background,
        question: Callable[[], Callable[[], P]],
        show: Callable[[P], None],
        on_failure: Callable[[BaseException], None],
        parent: QObject,
    ) -> None:
        """Take how to ask and what happens then.

        Args:
            background: whose readers answer.
            question: gives the question about what stands in the form now.
            show: gets the answer, unless something was typed since it was asked.
            on_failure: gets what was raised in place of an answer.
            parent: the form; this goes with it.
        """
        super().__init__(parent)
        self._asker = background.asker(self)
        self._question = question
        self._show = show
        self._on_failure = on_failure
        self._is_behind = False
        self._last: P | None = None

    @property
    def last(self) -> P | None:
        """The preview that was shown last."""
        return self._last

    def look_again(self) -> None:
        """Ask about what stands in the form now."""
        if self._asker.is_waiting:
            self._is_behind = True
        else:
            self._asker.ask(self._question(), self._on_answered, self._on_failed)

    def _on_answered(self, preview: P) -> None:
        if not self._goes_on():
            self._last = preview
            self._show(preview)

    def _on_failed(self, error: BaseException) -> None:
        if not self._goes_on():
            self._on_failure(error)

    def _goes_on(self) -> bool:
        """Ask once more where something was typed meanwhile; what came is of no interest then."""
        was_behind, self._is_behind = self._is_behind, False
        if was_behind:
            self.look_again()
        return was_behind
