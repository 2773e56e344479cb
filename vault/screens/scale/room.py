"""The scale's corner of the window: made when it is first wanted, gone when the window closes.

The desk and all that it needs are loaded with the first book that has a scale, not at the start.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from functools import partial
from typing import TYPE_CHECKING, Any

from PySide6.QtCore import QObject, QTimer, Signal
from PySide6.QtWidgets import QDialog, QWidget

from vault.application.changes import Changes
from vault.screens.background import Background
from vault.screens.commands import Commands
from vault.screens.house_style import HouseStyle
from vault.screens.later import later
from vault.screens.recorder import Recorder

if TYPE_CHECKING:
    from datetime import date

    from vault.application.queries.answers.scales import CheckVerdict
    from vault.bench.scales import Scale
    from vault.screens.scale.box import ScaleBox
    from vault.screens.scale.desk import ScaleDesk
    from vault.screens.scale.questions import ScaleQuestions
    from vault.screens.widgets.weight_field import TareField, WeightField

_DESK = later("vault.screens.scale.desk", "ScaleDesk")
_BOX = later("vault.screens.scale.box", "ScaleBox")
_SCALES = later("vault.screens.scale.scales_dialog", "ScalesDialog")
_CHECK = later("vault.screens.scale.check_dialog", "CheckScaleDialog")
_SIMULATED = later("vault.screens.scale.simulated_window", "try_simulated")
_PAUSE_MS = 300
_FIELDS = "vault.screens.widgets.weight_field"


@dataclass(frozen=True, slots=True)
class Known:
    """What is known of the shop's scales.

    Attributes:
        scales: all of them, by name.
        in_use: the one that is listened to, or None.
        checks: how each was last checked, by its name.
        today: the day by the shop's calendar; None while no book lies open.
    """

    scales: Sequence[Scale] = ()
    in_use: Scale | None = None
    checks: Mapping[str, CheckVerdict] | None = None
    today: date | None = None

    def check_of(self, scale: Scale | None) -> CheckVerdict | None:
        """Give how a scale was last checked, or None."""
        return None if scale is None or self.checks is None else self.checks.get(scale.name)


class ScaleRoom(QObject):
    """Gives the desk of the scale, fields that look at it, the box on the bench, and dialogs.

    Signals:
        known_changed: something is known otherwise of the shop's scales.
        told: a sentence for the reader.
    """

    known_changed = Signal()
    told = Signal(str)

    def __init__(
        self,
        questions: Callable[[], ScaleQuestions],
        background: Background,
        style: HouseStyle,
    ) -> None:
        """Make the corner; `questions` are asked for once a book lies open."""
        super().__init__()
        self._questions = questions
        self._background = background
        self.style = style
        self._asker = background.asker(self)
        self._book: object | None = None
        self._pause = QTimer(self)
        self._pause.setSingleShot(True)
        self._pause.setInterval(_PAUSE_MS)
        self._pause.timeout.connect(self.look_again)
        self._desk: ScaleDesk | None = None
        self._trial: Scale | None = None
        self.known = Known()

    @property
    def desk(self) -> ScaleDesk:
        """The desk of the scale, made now if it was not yet."""
        if self._desk is None:
            self._desk = _DESK(self)
        return self._desk

    @property
    def questions(self) -> ScaleQuestions:
        """What may be asked of a book."""
        return self._questions()

    def weight_field(self, name: str, hint: str) -> WeightField:
        """Make a field for a weight, typed or from the scale."""
        field: WeightField = later(_FIELDS, "WeightField")(name, hint, self.style, self.desk)
        return field

    def tare_field(self, name: str, hint: str) -> TareField:
        """Make a field for what an empty bag or vessel weighs."""
        field: TareField = later(_FIELDS, "TareField")(name, hint, self.style, self.desk)
        return field

    def box(self) -> ScaleBox:
        """Make the box of the scale on the bench, which keeps itself up to date."""
        box: ScaleBox = _BOX(self.desk, self.style)
        box.setting_up_wanted.connect(self.show_scales)
        box.follow(self)
        return box

    # --- the book ---------------------------------------------------------------------------------

    def show_book(self, book: object | None) -> None:
        """Listen to the scale of a book, or to none."""
        self._book = book
        if book is None:
            self._pause.stop()
            self._asker.forget()
            self._on_known_answered(Known())
        else:
            # What the book shows first comes first.
            self._pause.start()

    def heed(self, changes: object) -> None:
        """Look again some time after an entry: a check that was recorded or struck is another."""
        is_of_figures = isinstance(changes, Changes) and not (changes.entries or changes.settings)
        if self._book is not None and not is_of_figures:
            self._pause.start()

    def look_again(self) -> None:
        """Ask what is known of the shop's scales; it may be otherwise by now."""
        if self._book is not None:
            self._asker.ask(partial(_known, self.questions, self._book), self._on_known_answered)

    def try_out(self, scale: Scale | None) -> None:
        """Listen to a scale that is being set up, or no longer: to the one in use again."""
        self._trial = scale
        self._listen()

    def change(
        self,
        operation: Callable[[Any], object],
        then: Callable[[], None],
        refused: Callable[[BaseException], None],
    ) -> None:
        """Have the settings of the scales changed in the open book."""
        book = self._book
        if book is None:
            return

        def done(_changes: object) -> None:
            self.look_again()
            then()

        self._background.run(
            lambda _progress, _stopped: operation(book),
            done,
            words="Keeping the scale …",
            on_failure=refused,
        )

    def attach(self, window: QWidget, commands: Commands, recorder: Recorder) -> None:
        """Do what the window's commands about the scale ask for."""
        commands["take_weight"].triggered.connect(self.take)
        commands["scales"].triggered.connect(lambda: self.show_scales(window))
        commands["check_scale"].triggered.connect(lambda: self.show_check(window, recorder))
        commands["simulated_scale"].triggered.connect(lambda: self.show_simulated(window))

    # --- commands ---------------------------------------------------------------------------------

    def take(self) -> None:
        """Let the field that has the focus take the weight."""
        if self._desk is not None:
            self._desk.wish_to_take()

    def show_scales(self, window: QWidget) -> None:
        """Open the list of the shop's scales."""
        self._open(_SCALES(self, window))

    def show_check(self, window: QWidget, recorder: Recorder) -> None:
        """Open the check of the scale in use with a test weight."""
        if self.known.in_use is None:
            self.told.emit("No scale is set up yet; set one up first, in the menu under Scales.")
        else:
            self._open(_CHECK(self, recorder, window))

    def show_simulated(self, window: QWidget) -> None:
        """Put the simulated scale on the bench, and its controls beside the window."""
        _SIMULATED(self, window)

    def close(self) -> None:
        """Let the port go."""
        self._pause.stop()
        if self._desk is not None:
            self._desk.close()

    def _open(self, dialog: QDialog) -> None:
        dialog.open()

    def _on_known_answered(self, known: Known) -> None:
        self.known = known
        self._listen()
        self.known_changed.emit()

    def _listen(self) -> None:
        scale = self._trial or self.known.in_use
        if scale is not None or self._desk is not None:
            self.desk.listen(scale)


def _known(asked: ScaleQuestions, book: object) -> Known:
    """Ask a book of its scales, off the window's thread."""
    return Known(
        asked.scales(book), asked.scale_in_use(book), asked.last_checks(book), asked.today(book)
    )
