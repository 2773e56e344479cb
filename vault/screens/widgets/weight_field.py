"""A field for a weight: typed in any unit of the trade, or taken from the scale once it is steady.

While the field is empty and has the focus, it shows what the scale shows. Enter, the big button
or a pedal takes the weight, and a scale that is set so gives each new load by itself. Whoever
types has the last word: with something typed in it, the field does not look at the scale.
"""

from __future__ import annotations

from typing import Protocol

from PySide6.QtCore import QEvent, QObject, Qt, SignalInstance
from PySide6.QtGui import QFocusEvent, QKeyEvent
from PySide6.QtWidgets import QWidget
from typing_extensions import override

from vault.bench.scale_watch import Live, ScaleState
from vault.bench.scales import Scale
from vault.core.errors import TextNotUnderstood, VaultError
from vault.core.masses import Mass, mass_from_text
from vault.screens.house_style import HouseStyle
from vault.screens.scale.words import TAKEN_BEFORE, TOO_OLD, weight_as_shown
from vault.screens.widgets.fields import HINT, TROUBLE, Field
from vault.screens.widgets.live_weight import LiveView

_OF_A_NUMBER = "0123456789.,' \u00a0\u202f"


class LiveScale(Protocol):
    """The scale in use, as a field needs it; `screens/scale/desk.py` is one."""

    live_changed: SignalInstance
    take_wanted: SignalInstance

    @property
    def scale(self) -> Scale | None:
        """The scale in use, or None."""

    @property
    def live(self) -> Live:
        """What it shows now."""

    def why_not(self, by: object) -> str:
        """Say why the weight cannot be taken by a field now; empty where it can."""

    def take(self, by: object) -> Mass | None:
        """Hand the steady weight to a field, or None."""

    def may_take_itself(self) -> bool:
        """Tell whether the weight is a new load that is taken without a key."""


class WeightField(Field):
    """Takes one weight above zero; empty where nothing is weighed.

    Signals, as of every field: `edited` and `taken`. `taken` is sent as well when the scale gave
    the weight; a form goes on to its next field then.
    """

    # Whether a weight of nothing has a meaning here, as that of an empty bag has.
    may_be_nothing = False

    def __init__(
        self,
        name: str,
        hint: str,
        style: HouseStyle,
        scales: LiveScale | None = None,
        parent: QWidget | None = None,
    ) -> None:
        """Build the field; without `scales` it is for typing alone."""
        super().__init__(name, hint, parent)
        self._style = style
        self._scales = scales
        self._hint = hint
        # What the scale gave and the text that stands for it; both go when anybody types.
        self._given: tuple[Mass, str, Mass | None] | None = None
        self._load_before = self._tares_before = 0
        self._said = ""
        self._awaited_load: int | None = None
        self._view = LiveView(self.line, style)
        self.line.installEventFilter(self)
        self.line.editingFinished.connect(self.write_out)
        if scales is not None:
            scales.live_changed.connect(self._on_live_changed)
            scales.take_wanted.connect(self._on_take_wanted)

    # --- what stands in it ------------------------------------------------------------------------

    def mass(self) -> Mass | None:
        """Give the weight; None where there is none, or where it cannot be read."""
        try:
            return self.read()
        except VaultError:
            return None

    def source(self) -> str:
        """Give the name of the scale it was read on; empty where it was typed by hand."""
        return "" if self._given is None else self._given[1]

    @property
    def scale_name(self) -> str:
        """The scale it was read on; empty where it was typed by hand."""
        return self.source()

    @property
    def mass_u(self) -> Mass | None:
        """One standard uncertainty of the weight; None where it was typed."""
        return None if self._given is None else self._given[2]

    @property
    def was_steady(self) -> bool:
        """Whether the scale stood still when it was taken; it takes nothing else."""
        return True

    @property
    def is_steady(self) -> bool:
        """Whether the scale shows a weight that this field could take now."""
        return self._scales is not None and not self._scales.why_not(self)

    def write_mass(self, mass: Mass | None, source: str = "", u: Mass | None = None) -> None:
        """Write a weight without telling anybody, with the scale it was read on if any."""
        self._given = None if mass is None or not source else (mass, source, u)
        mark = self._style.numbers.decimal_mark
        self.write("" if mass is None else f"{mass.to_text().replace('.', mark)} g")

    def write_out(self) -> None:
        """Write a weight in grams with its unit and all its digits, so that nothing is unclear.

        Said below the field as well it would only take room.
        """
        mass, numbers = self.mass(), self._style.numbers
        is_in_grams = numbers.unit == "g" and not self.text.rstrip("g").strip(_OF_A_NUMBER)
        # Ounces written out in grams, or grams in ounces, would not be what was typed any more.
        if mass is not None and self._given is None and is_in_grams:
            self.line.setText(numbers.mass(mass))
            self.look()

    @override
    def write(self, text: str) -> None:
        if self._given is not None and not self._stands_for(text, self._given[0]):
            self._given = None
        self._said = ""
        super().write(text)
        self._show_live()

    @override
    def read(self) -> Mass | None:
        if self._given is not None:
            return self._given[0]
        return self._read_text(self.text)

    @override
    def remark(self) -> str:
        mass = self.mass()
        if mass is None:
            return ""
        if self._given is not None:
            return f"from the scale {self._given[1]}"
        told = self._style.numbers.mass(mass)
        return "" if told == self.text else told

    @override
    def look(self) -> None:
        super().look()
        # Qt tells of an end of editing after Enter as well; what Enter was told still holds.
        if self._said:
            self.said_of_it.say(self._said, TROUBLE)

    def take(self) -> bool:
        """Take the weight of the scale if it may be taken; else say under the field why not."""
        if self._scales is None:
            return False
        # Asked before it is taken: the answer is of no use once it was.
        why_not = self._scales.why_not(self)
        shown = weight_as_shown(self._scales.live, self._style.numbers)
        mass = self._scales.take(self)
        scale = self._scales.scale
        if mass is None or scale is None:
            self._say(why_not)
            # Only the news is late, as when the computer is busy: the next of this load will do.
            self._awaited_load = self._scales.live.load if why_not == TOO_OLD else None
            return False
        self._awaited_load = None
        self._given = (mass, scale.name, scale.doubt_of(mass))
        self._said = ""
        self.line.setText(shown)
        self._show_live()
        self.look()
        self.edited.emit()
        self.taken.emit()
        return True

    def _say(self, sentence: str) -> None:
        """Say why the scale gives nothing, until that changes."""
        self._said = sentence
        self.said_of_it.say(sentence, TROUBLE if sentence else HINT)

    # --- the scale --------------------------------------------------------------------------------

    def _is_looking(self) -> bool:
        """Whether it looks at the scale: it is empty and has the focus."""
        return (
            self._scales is not None
            and self._scales.scale is not None
            and not self.line.text()
            and self.line.hasFocus()
            and self.line.isEnabled()
            and not self.line.isReadOnly()
        )

    def _begin_to_look(self) -> None:
        """Note what the scale has told so far: what rests on it now was put on for another."""
        if self._scales is not None:
            self._load_before = self._scales.live.load
            self._tares_before = self._scales.live.tares

    def _show_live(self) -> None:
        looking = self._is_looking()
        live = self._scales.live if looking and self._scales is not None else None
        self._view.show_live(live)
        self.line.setPlaceholderText(
            "" if live is not None and weight_as_shown(live, self._style.numbers) else self._hint
        )

    def _on_live_changed(self, _live: object) -> None:
        if not self._is_looking():
            return
        if self._said and self._scales is not None and self._scales.why_not(self) != self._said:
            self._say("")
        if self._may_take_itself() or self._comes_what_was_wanted():
            self.take()
        else:
            self._show_live()

    def _may_take_itself(self) -> bool:
        scales = self._scales
        return (
            scales is not None
            and scales.live.load > self._load_before
            and scales.may_take_itself()
            and not scales.why_not(self)
        )

    def _on_take_wanted(self) -> None:
        if self.line.hasFocus():
            self._take_or_say()

    def _take_or_say(self) -> None:
        if self._is_looking():
            self.take()
        elif self.line.text():
            self._say("Empty the field first; what is typed in it stands.")

    def _comes_what_was_wanted(self) -> bool:
        """Tell whether Enter was pressed a moment too early for this very load."""
        wanted, self._awaited_load = self._awaited_load, None
        scales = self._scales
        return scales is not None and scales.live.load == wanted and not scales.why_not(self)

    def _stands_for(self, text: str, mass: Mass) -> bool:
        try:
            return self._read_text(text) == mass
        except VaultError:
            return False

    def _read_text(self, text: str) -> Mass | None:
        text = text.strip()
        if not text:
            return None
        numbers = self._style.numbers
        mass = mass_from_text(text, decimal_mark=numbers.decimal_mark, unit=numbers.unit)
        if mass.micrograms < 0 or (mass.micrograms == 0 and not self.may_be_nothing):
            raise TextNotUnderstood("A weight is more than nothing; leave it empty instead.")
        return mass

    @override
    def _on_line_edited(self) -> None:
        self._given = None
        self._said, self._awaited_load = "", None
        self._show_live()
        super()._on_line_edited()

    @override
    def _on_line_entered(self) -> None:
        if self._is_looking() and not self._is_left_empty():
            self.take()
            return
        super()._on_line_entered()

    def _is_left_empty(self) -> bool:
        """Tell whether Enter goes on without a weight, since there is none for this field."""
        scales = self._scales
        if scales is None or scales.live.state in _AWAY:
            return True
        # The full bag still lies there, and nobody has put an empty one in its place.
        return self.may_be_nothing and scales.why_not(self) == TAKEN_BEFORE

    @override
    def eventFilter(self, watched: QObject, event: QEvent) -> bool:
        if isinstance(event, QFocusEvent) and event.gotFocus():
            # Back from another window, it goes on looking where it was.
            if event.reason() is not Qt.FocusReason.ActiveWindowFocusReason:
                self._begin_to_look()
            self._show_live()
        elif event.type() is QEvent.Type.FocusOut:
            self._said, self._awaited_load = "", None
            self._show_live()
        elif (
            isinstance(event, QKeyEvent)
            and event.type() is QEvent.Type.KeyPress
            and event.key() == Qt.Key.Key_Escape
            and self.line.text()
            and self._scales is not None
            and self._scales.scale is not None
        ):
            self.write("")
            self.edited.emit()
            return True
        return super().eventFilter(watched, event)


_AWAY = frozenset({ScaleState.SILENT, ScaleState.UNPLUGGED, ScaleState.WAITING, ScaleState.ZERO})


class TareField(WeightField):
    """Takes what an empty bag or vessel weighs; it may weigh nothing.

    A scale that tells the tare it has taken off gives it as well.
    """

    may_be_nothing = True

    @override
    def _on_live_changed(self, _live: object) -> None:
        scales = self._scales
        if scales is not None and self._is_looking() and scales.live.tares > self._tares_before:
            self._tares_before = scales.live.tares
            self._take_told_tare(scales.live.tare, scales.scale)
            return
        super()._on_live_changed(_live)

    def _take_told_tare(self, tare: Mass | None, scale: Scale | None) -> None:
        if tare is None or scale is None or tare.micrograms < 0:
            return
        self.write_mass(tare, scale.name, scale.doubt_of(tare))
        self.edited.emit()
        self.taken.emit()
