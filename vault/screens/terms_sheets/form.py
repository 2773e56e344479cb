"""The form of one terms sheet, in one column that scrolls."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from datetime import date
from functools import partial

from PySide6.QtCore import Qt, Signal
from PySide6.QtGui import QResizeEvent
from PySide6.QtWidgets import QApplication, QFrame, QScrollArea, QVBoxLayout, QWidget
from typing_extensions import override

from vault.core.errors import VaultError
from vault.core.metals import ALL_SYMBOLS
from vault.core.rules.terms_sheets import SheetFault
from vault.core.terms_sheets import Comes, Takes, TermsSheet
from vault.core.words import tidied
from vault.screens.house_style import HouseStyle
from vault.screens.look import GAP, Size
from vault.screens.terms_sheets.card_list import CardList
from vault.screens.terms_sheets.charges_card import ChargesCard
from vault.screens.terms_sheets.head_card import HeadCard
from vault.screens.terms_sheets.metal_card import MetalCard
from vault.screens.terms_sheets.penalty_card import PenaltyCard
from vault.screens.terms_sheets.texts import WHOLE_STEPS, Texts, metal_texts
from vault.screens.widgets.fields import TROUBLE, Field
from vault.screens.widgets.labels import label
from vault.screens.widgets.note_field import NoteField

_WIDE_FROM = 600
_ROOM_AROUND = 60
_NOTE_HINT = "what else the paper says, and where it is from"


class SheetForm(QScrollArea):
    """Everything that is typed of a sheet.

    Signals:
        edited: something was typed or chosen.
    """

    edited = Signal()

    def __init__(
        self, style: HouseStyle, today: Callable[[], date], parent: QWidget | None = None
    ) -> None:
        super().__init__(parent)
        self.head = HeadCard(today)
        self.metals = CardList(partial(MetalCard, style), "Add a metal", least=1)
        self.charges = ChargesCard(style)
        self.penalties = CardList(partial(PenaltyCard, style), "Add a penalty", least=0)
        self.note = NoteField("note", _NOTE_HINT)
        self.foot = QVBoxLayout()
        self._lay_out()
        self._connect()

    # --- what stands in it ----------------------------------------------------------------------

    def texts(self) -> Texts:
        """Give what stands in every field, as a draft keeps it."""
        return {
            "head": self.head.texts(),
            "metals": self.metals.texts(),
            "charges": self.charges.texts(),
            "penalties": self.penalties.texts(),
            "note": self.note.text,
        }

    def write(self, texts: Texts, *, is_kept: bool) -> None:
        """Put texts into the fields; name and refinery of a kept sheet stay."""
        self.head.write(texts["head"])
        self.head.bind(is_kept=is_kept)
        # Amounts are read, and judged, in the currency of this sheet.
        self._use_currency()
        self.metals.write(texts["metals"])
        self.charges.write(texts["charges"])
        self.penalties.write(texts["penalties"])
        self.note.write(str(texts["note"]))
        self._follow()

    def sheet(self) -> TermsSheet | None:
        """Give the sheet; None while a field cannot be read."""
        try:
            return self._sheet()
        except VaultError:
            return None

    def first_unclear(self) -> QWidget | None:
        """Tell under every field what is wrong with it, and give the first; None where all is."""
        self.look()
        unclear: list[QWidget] = [one for one in self._fields() if one.trouble()]
        if self.note.trouble():
            unclear.append(self.note)
        return next(iter(unclear), None)

    def look(self) -> None:
        """Tell under each field what is wrong with it."""
        for part in (self.head, self.metals, self.charges, self.penalties, self.note):
            part.look()

    def show_faults(self, faults: Sequence[SheetFault]) -> QWidget | None:
        """Say under each field what the sheet as a whole makes wrong; gives the first field."""
        said = [self._say(one) for one in faults]
        return next(iter(said), None)

    # --- building -------------------------------------------------------------------------------

    def _lay_out(self) -> None:
        self.setWidgetResizable(True)
        self.setFrameShape(QFrame.Shape.NoFrame)
        self.setFocusPolicy(Qt.FocusPolicy.NoFocus)
        self.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
        inside = QWidget()
        column = QVBoxLayout(inside)
        column.setContentsMargins(0, 0, 10, 0)
        column.setSpacing(GAP - 4)
        for words, part in (
            ("", self.head),
            ("What it pays", self.metals),
            ("What it charges", self.charges),
            ("Penalties", self.penalties),
            ("Note", self.note),
        ):
            if words:
                column.addWidget(label(words, size=Size.TITLE, bold=True))
            column.addWidget(part)
        column.addLayout(self.foot)
        column.addStretch(1)
        self.setWidget(inside)
        inside.setAutoFillBackground(False)
        self.setFocusProxy(self.head)

    def _connect(self) -> None:
        for part in (self.head, self.metals, self.charges, self.penalties, self.note):
            part.edited.connect(self._on_edited)
        self.head.finished.connect(self._go_to_first_metal)
        self.metals.finished.connect(self.charges.setFocus)
        self.charges.finished.connect(self._go_behind_charges)
        self.penalties.finished.connect(self.note.setFocus)
        self.metals.add_button.clicked.connect(self._on_add_metal_clicked)
        self.penalties.add_button.clicked.connect(self._on_add_penalty_clicked)
        application = QApplication.instance()
        if isinstance(application, QApplication):
            application.focusChanged.connect(self._on_focus_changed)

    def _fields(self) -> list[Field]:
        cards = (self.head, *self.metals.cards, self.charges, *self.penalties.cards)
        return [field for card in cards for field in card.fields()]

    def _sheet(self) -> TermsSheet:
        head, currency = self.head, self.head.currency.read()
        limits = [(one.symbol, one.splitting.read()) for one in self.metals.cards]
        return TermsSheet(
            name=tidied(head.name.text),
            version=1,
            party=head.party.read(),
            valid_from=head.valid_from.first(),
            valid_until=head.valid_until.read(),
            currency=currency,
            metals=tuple(one.terms(currency) for one in self.metals.cards),
            treatment=self.charges.treatment(currency),
            fees=self.charges.fees(currency),
            penalties=tuple(one.penalty() for one in self.penalties.cards),
            returns=Comes(head.returns.value),
            takes=Takes(head.takes.value),
            days_to_settle=head.days.read() or 0,
            splitting=tuple((metal, limit) for metal, limit in limits if limit is not None),
            note=self.note.text,
        )

    def _say(self, fault: SheetFault) -> QWidget:
        part, *rest = fault.field.split(".")
        if part == "note":
            self.note.said_of_it.say(fault.sentence, TROUBLE)
            return self.note
        if part in {"metals", "penalties"} and rest:
            cards = self.metals.cards if part == "metals" else self.penalties.cards
            return cards[int(rest[0])].say(rest[1], fault.sentence)
        if part == "splitting" and rest:
            limited = [one for one in self.metals.cards if one.splitting.text]
            return limited[int(rest[0])].say("splitting", fault.sentence)
        if part in {"treatment", "fees"}:
            return self.charges.say(rest[0], fault.sentence)
        return self.head.say(part, fault.sentence)

    def _follow(self) -> None:
        """Bring what hangs together into line: the currency of amounts, the metals still free."""
        self._use_currency()
        used = {one.symbol for one in self.metals.cards}
        for card in self.metals.cards:
            card.offer([one for one in ALL_SYMBOLS if one not in used or one == card.symbol])
        self.metals.add_button.setVisible(len(used) < len(ALL_SYMBOLS))

    def _use_currency(self) -> None:
        for part in (self.metals, self.charges, self.penalties):
            part.use_currency(self.head.currency.currency)

    # --- the reader -----------------------------------------------------------------------------

    def _go_to_first_metal(self) -> None:
        self.metals.cards[0].payable.setFocus()

    def _go_behind_charges(self) -> None:
        (self.penalties.cards[0] if self.penalties.cards else self.note).setFocus()

    def _on_edited(self) -> None:
        self._follow()
        self.edited.emit()

    def _on_add_metal_clicked(self) -> None:
        used = {one.symbol for one in self.metals.cards}
        card = self.metals.add(metal_texts(next(one for one in ALL_SYMBOLS if one not in used)))
        card.payable.setFocus()

    def _on_add_penalty_clicked(self) -> None:
        texts = dict.fromkeys(("element", "free", "step", "per_kg"), "")
        self.penalties.add(texts | {"steps": WHOLE_STEPS}).setFocus()

    def _on_focus_changed(self, _before: QWidget | None, now: QWidget | None) -> None:
        # Qt follows the Tab key alone; Enter leads on here as well.
        inside = self.widget()
        if now is not None and inside is not None and inside.isAncestorOf(now):
            self.ensureWidgetVisible(now, 0, _ROOM_AROUND)

    @override
    def resizeEvent(self, event: QResizeEvent) -> None:
        super().resizeEvent(event)
        wide = self.viewport().width() >= _WIDE_FROM
        for part in (self.head, self.metals, self.charges, self.penalties):
            part.arrange(wide=wide)
