"""The scale's corner of the window: made when it is first wanted, gone when the window closes.

The desk and all that it needs are loaded with the first book that lies open, not at the start.
"""

from __future__ import annotations

from collections.abc import Callable
from functools import partial
from typing import TYPE_CHECKING

from PySide6.QtCore import QObject

from vault.screens.background import Background
from vault.screens.house_style import HouseStyle
from vault.screens.later import later

if TYPE_CHECKING:
    from vault.bench.scales import Scale
    from vault.screens.scale.desk import ScaleDesk
    from vault.screens.scale.questions import ScaleQuestions
    from vault.screens.widgets.weight_field import TareField, WeightField

_DESK = later("vault.screens.scale.desk", "ScaleDesk")
_FIELDS = "vault.screens.widgets.weight_field"


class ScaleRoom(QObject):
    """Gives the desk of the scale and fields that look at it."""

    def __init__(
        self,
        questions: Callable[[], ScaleQuestions],
        background: Background,
        style: HouseStyle,
    ) -> None:
        """Make the corner; `questions` are asked for once a book lies open."""
        super().__init__()
        self._questions = questions
        self._style = style
        self._asker = background.asker(self)
        self._book: object | None = None
        self._desk: ScaleDesk | None = None

    @property
    def desk(self) -> ScaleDesk:
        """The desk of the scale, made now if it was not yet."""
        if self._desk is None:
            self._desk = _DESK(self)
        return self._desk

    def weight_field(self, name: str, hint: str) -> WeightField:
        """Make a field for a weight, typed or from the scale."""
        field: WeightField = later(_FIELDS, "WeightField")(name, hint, self._style, self.desk)
        return field

    def tare_field(self, name: str, hint: str) -> TareField:
        """Make a field for what an empty bag or vessel weighs."""
        field: TareField = later(_FIELDS, "TareField")(name, hint, self._style, self.desk)
        return field

    def show_book(self, book: object | None) -> None:
        """Listen to the scale of a book, or to none."""
        self._book = book
        if book is None:
            self._asker.forget()
            if self._desk is not None:
                self._desk.listen(None)
        else:
            self.look_again()

    def look_again(self) -> None:
        """Ask which scale is in use; another one may be by now."""
        if self._book is not None:
            question = partial(self._questions().scale_in_use, self._book)
            self._asker.ask(question, self._on_scale_answered)

    def take(self) -> None:
        """Let the field that has the focus take the weight."""
        if self._desk is not None:
            self._desk.wish_to_take()

    def close(self) -> None:
        """Let the port go."""
        if self._desk is not None:
            self._desk.close()

    def _on_scale_answered(self, scale: Scale | None) -> None:
        if scale is not None or self._desk is not None:
            self.desk.listen(scale)
