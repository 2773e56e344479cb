"""The controls of the simulated scale, for whoever tries the program without a real one."""

from __future__ import annotations

from collections.abc import Callable

from PySide6.QtWidgets import QCheckBox, QGridLayout, QPushButton, QVBoxLayout, QWidget

from vault.bench.scales import SIMULATED, Scale
from vault.core.masses import Mass
from vault.screens.scale.parts import FormDialog, PlateField
from vault.screens.scale.room import ScaleRoom
from vault.screens.widgets.fields import Captioned
from vault.screens.widgets.labels import label

NAME = "simulated"
# A usual bench balance: 3.2 kg by 10 mg, class II with e = 100 mg.
_SCALE = Scale(
    name=NAME,
    device=SIMULATED,
    step=Mass(10_000),
    interval=Mass(100_000),
    accuracy_class="II",
    maximum=Mass(3_200_000_000),
)
_WORDS = (
    "This scale is none: it sends what you put on it here, as a bench scale would on its port. "
    "Nothing that is weighed on it says anything of real metal."
)
_TOO_MUCH = Mass(5_000_000_000)


def try_simulated(room: ScaleRoom, window: QWidget) -> None:
    """Use the simulated scale in the open book, and show its controls beside the window."""
    keep, use = room.questions.keep, room.questions.use
    is_known = any(one.name == NAME for one in room.known.scales)
    room.change(
        lambda book: use(book, NAME) if is_known else keep(book, _SCALE, ""),
        SimulatedWindow(room, window).show,
        lambda error: room.told.emit(str(error)),
    )


class SimulatedWindow(FormDialog):
    """Puts things on the simulated scale; it stays beside the window while one works there."""

    def __init__(self, room: ScaleRoom, parent: QWidget | None = None) -> None:
        super().__init__("Simulated scale", parent)
        self._room = room
        self.weight = PlateField("weight to put on", "150.85 g", room.style, None)
        self.lean = QCheckBox("Lean on the bench, so that it never settles")
        self.plug = QCheckBox("Plugged in")
        self.plug.setChecked(True)
        column = QVBoxLayout(self)
        column.setContentsMargins(20, 16, 20, 16)
        column.setSpacing(10)
        column.addWidget(label(_WORDS, kind="soft", wrap=True))
        column.addWidget(Captioned("What lies on it", self.weight))
        column.addLayout(self._buttons())
        column.addWidget(self.lean)
        column.addWidget(self.plug)
        self.weight.taken.connect(self._put)
        self.lean.toggled.connect(self._on_lean_toggled)
        self.plug.toggled.connect(self._on_plug_toggled)
        room.desk.chosen.connect(self._on_chosen)
        self.setMinimumWidth(380)

    def _buttons(self) -> QGridLayout:
        grid = QGridLayout()
        grid.setSpacing(8)
        wanted: tuple[tuple[str, Callable[[], None]], ...] = (
            ("Put it on", self._put),
            ("Take all off", lambda: self._lay(Mass(0))),
            ("Press tare", self._tare),
            ("Too much", lambda: self._lay(_TOO_MUCH)),
        )
        for at, (words, done) in enumerate(wanted):
            button = QPushButton(words)
            # The field that is to have the weight keeps the focus in the other window.
            button.setAutoDefault(False)
            button.clicked.connect(done)
            grid.addWidget(button, at // 2, at % 2)
        return grid

    def _put(self) -> None:
        mass = self.weight.mass()
        if mass is not None:
            self._lay(mass)

    def _lay(self, mass: Mass) -> None:
        scale = self._room.desk.simulated
        if scale is not None:
            scale.put(mass)

    def _tare(self) -> None:
        scale = self._room.desk.simulated
        if scale is not None:
            scale.tare()

    def _on_lean_toggled(self, on: bool) -> None:  # noqa: FBT001  the signal's own
        scale = self._room.desk.simulated
        if scale is not None:
            scale.shake(on=on)

    def _on_plug_toggled(self, on: bool) -> None:  # noqa: FBT001  the signal's own
        self._room.desk.plug_simulated(on=on)

    def _on_chosen(self, scale: Scale | None) -> None:
        # The name is set by this program, and a scale of that name may be set up otherwise.
        if scale is None or not scale.is_simulated:
            self.close()
