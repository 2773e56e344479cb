"""Opens the small form that is wanted, about what is chosen on the screen that is shown."""

from __future__ import annotations

from collections.abc import Callable
from functools import partial
from typing import TYPE_CHECKING, Any

from PySide6.QtCore import QObject, Signal
from PySide6.QtWidgets import QWidget

from vault.application.changes import Changes
from vault.screens.announcer import Announcer
from vault.screens.commands import Commands
from vault.screens.later import later
from vault.screens.screen import Chosen
from vault.screens.slots import without_words

if TYPE_CHECKING:
    from vault.screens.forms.form import Form
    from vault.screens.forms.kit import FormKit

_FORMS = "vault.screens.forms"
_SHIPMENTS = "vault.screens.shipments"
_NO_ITEM = "Choose an item first: scan its tag, or click it in the Safe."
_NO_ENTRY = "Choose an entry of the daybook first."
_NO_SHIPMENT = "Choose a shipment first: Menu → Shipments shows what is out."
_NOTHING_RECORDED = (
    "Nothing was recorded yet since the program was started. Older entries are struck in the "
    "daybook: choose one there and press “Strike it”."
)


class FormOpener(QObject):
    """Connects the commands of the forms, and remembers what this session recorded.

    Signals:
        told: a sentence on what was recorded.
        missed: a sentence on what is needed first.
        entry_wanted: the number of an entry, to be shown in the daybook.
    """

    told = Signal(str)
    missed = Signal(str)
    entry_wanted = Signal(str)

    def __init__(
        self,
        kit: Callable[[], FormKit | None],
        chosen: Callable[[], Chosen],
        commands: Commands,
        announcer: Announcer,
        window: QWidget,
    ) -> None:
        """Build it; `kit` gives what a form of the open book is handed, None without a book."""
        super().__init__(window)
        self._kit = kit
        self._chosen = chosen
        self._commands = commands
        self._window = window
        # What this session recorded, the last at the end, and what of it was struck or strikes.
        self._recorded: list[int] = []
        self._settled: set[int] = set()
        announcer.changed.connect(self._on_announcer_changed)
        wanted: dict[str, Callable[[], object]] = {
            "weigh": partial(self._about_an_item, "weigh", "WeighForm"),
            "divide": partial(self._about_an_item, "divide", "DivideForm"),
            "assay": partial(self._about_items, "assay", "AssayForm"),
            "leave": partial(self._about_items, "leave", "LeaveForm"),
            "photograph": partial(self._about_an_item, "photograph", "PhotographForm"),
            "ship": self._ship,
            "settle": self._settle,
            "move": self._move,
            "seal": self._seal,
            "worth": self._ask_worth,
            "prices": partial(self._open, "prices", "PricesForm", None),
            "strike": self._strike,
            "strike_last": self._strike_last,
        }
        for name, open_form in wanted.items():
            commands[name].triggered.connect(without_words(open_form))

    def forget(self) -> None:
        """Another book lies open: what was recorded in the last one is of no interest here."""
        self._recorded.clear()
        self._settled.clear()

    def strike(self, number: int) -> None:
        """Open the form that strikes an entry."""
        form = self._open("strike", "StrikeForm", number)
        if form is not None:
            form.entry_wanted.connect(lambda one: self.entry_wanted.emit(str(one)))
            form.recorded.connect(lambda _, own: self._settled.update((number, own)))

    def _about_an_item(self, module: str, name: str) -> None:
        tags = self._chosen().tags
        if tags:
            self._open(module, name, tags[0])
        else:
            self.missed.emit(_NO_ITEM)

    def _about_items(self, module: str, name: str) -> None:
        self._open(module, name, self._chosen().tags)

    def _ship(self) -> None:
        self._open("make_up", "ShipmentForm", self._chosen(), package=_SHIPMENTS)

    def _settle(self) -> None:
        shipment = self._chosen().shipment
        if shipment:
            self._open("settle", "SettleForm", shipment, package=_SHIPMENTS)
        else:
            self.missed.emit(_NO_SHIPMENT)

    def _move(self) -> None:
        chosen = self._chosen()
        if chosen.container:
            self._open("move", "MoveContainerForm", chosen.container)
        else:
            self._open("move", "MoveForm", chosen.tags)

    def _seal(self) -> None:
        chosen = self._chosen()
        if chosen.container:
            self._open("seal", "SealContainerForm", chosen.container)
        else:
            self._about_an_item("seal", "SealForm")

    def _ask_worth(self) -> None:
        kit = self._kit()
        if kit is not None:
            dialog = later("vault.screens.send_out.dialog", "SendOutDialog")
            dialog(kit, self._chosen().tags, self._commands, self._window).open()

    def _strike(self) -> None:
        entry = self._chosen().entry
        if entry is None:
            self.missed.emit(_NO_ENTRY)
        else:
            self.strike(entry)

    def _strike_last(self) -> None:
        left = [one for one in self._recorded if one not in self._settled]
        if left:
            self.strike(left[-1])
        else:
            self.missed.emit(_NOTHING_RECORDED)

    def _open(  # any of the forms
        self, module: str, name: str, about: object, *, package: str = _FORMS
    ) -> Any:  # noqa: ANN401  any of the forms
        kit = self._kit()
        if kit is None:
            return None
        form: Form = later(f"{package}.{module}", name)(kit, about, self._window)
        form.recorded.connect(self._on_form_recorded)
        form.open()
        return form

    def _on_form_recorded(self, sentence: str, _number: int) -> None:
        self.told.emit(sentence)

    def _on_announcer_changed(self, changes: object) -> None:
        if isinstance(changes, Changes):
            self._recorded += changes.entries
