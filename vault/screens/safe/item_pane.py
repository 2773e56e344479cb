"""The chosen item, beside the table: content, doubt, origins, history, what can be done."""

from __future__ import annotations

from PySide6.QtCore import Signal
from PySide6.QtGui import QAction, QGuiApplication
from PySide6.QtWidgets import QMenu, QPushButton, QWidget
from typing_extensions import override

from vault.application.queries.answers.items import ItemDetail, MetalOfItem, PhotoOfItem
from vault.screens.commands import Commands
from vault.screens.house_style import HouseStyle
from vault.screens.later import later
from vault.screens.look import Size
from vault.screens.models.item_columns import NEARLY_ALL, since_words
from vault.screens.numbers import NOTHING, day
from vault.screens.photos.pictures import Pictures
from vault.screens.safe.item_parts import ContentPart, OriginsPart
from vault.screens.widgets.cards import Caution
from vault.screens.widgets.chips import MetalChips
from vault.screens.widgets.empty import button_of
from vault.screens.widgets.history import HistoryPart
from vault.screens.widgets.labels import ElidedLabel, label
from vault.screens.widgets.links import Links
from vault.screens.widgets.pane import Pane
from vault.screens.widgets.seals import seal_words
from vault.screens.widgets.shares import BudgetPart
from vault.screens.words import NO_PLACE

# Loaded with the first photo that is shown.
_PHOTOS = later("vault.screens.photos.part", "PhotoPart")
_PHOTO = later("vault.screens.photos.dialog", "PhotoDialog")
_DONE_WITH_IT = (("move", "Move"), ("leave", "Return or sell"), ("weigh", "Weigh"))
_MORE = ("ship", "assay", "divide", "photograph", "seal", "worth")


class ItemPane(Pane):
    """Shows one `ItemDetail`, or says that nothing is chosen.

    Signals:
        lot_wanted: the name of a lot to be traced.
        entry_wanted: the number of an entry to be shown.
        shipment_wanted: the number of a shipment to be shown.
    """

    lot_wanted = Signal(str)
    entry_wanted = Signal(int)
    shipment_wanted = Signal(str)

    def __init__(
        self,
        style: HouseStyle,
        commands: Commands,
        pictures: Pictures,
        parent: QWidget | None = None,
    ) -> None:
        self.trace_button = button_of(commands["trace"], first=True)
        self.print_button = button_of(commands["print_tag"])
        self.more_button = QPushButton("More")
        super().__init__(
            "Choose an item to see what it holds, how that is known, and where it came from.",
            [
                self.trace_button,
                self.print_button,
                *(button_of(commands[name], words=words) for name, words in _DONE_WITH_IT),
                self.more_button,
            ],
            parent=parent,
        )
        self._style = style
        self._pictures = pictures
        self._detail: ItemDetail | None = None
        self._metal = ""
        self.copy_action = QAction("Copy as text", self)
        self.copy_action.setToolTip("Copy what is shown here as text")
        self.copy_action.triggered.connect(self._on_copy_clicked)
        self.more_button.setToolTip("What else can be done with it")
        self.more_button.setMenu(self._more(commands))

    @property
    def detail(self) -> ItemDetail | None:
        """What is shown."""
        return self._detail

    @property
    def tag(self) -> ElidedLabel:
        """Where the tag stands."""
        return self.heading

    def show_detail(self, detail: ItemDetail) -> None:
        """Show an item; the metal looked at before stays in sight if it holds it."""
        self._detail = detail
        metals = [one.metal for one in detail.metals]
        if self._metal not in metals:
            self._metal = metals[0] if metals else ""
        self.restyle()

    def restyle(self) -> None:
        """Write everything anew in the number style in use."""
        detail = self._detail
        if detail is not None:
            row = detail.row
            what = f"{row.form} · {row.place or NO_PLACE} · {since_words(row)}"
            self.show_parts(row.tag, what, self._parts(detail))

    def _more(self, commands: Commands) -> QMenu:
        menu = QMenu(self.more_button)
        menu.addActions([commands[name] for name in _MORE])
        menu.addSeparator()
        menu.addAction(self.copy_action)
        return menu

    def _parts(self, detail: ItemDetail) -> list[QWidget]:
        parts: list[QWidget] = []
        if detail.photos:
            photos = _PHOTOS(detail.photos, self._pictures, self._style)
            photos.opened.connect(self._on_photo_opened)
            parts.append(photos)
        parts += [Caution(words) for words in detail.cautions]
        parts += [
            label(seal_words(one, of=detail.row.tag), size=Size.SECOND, wrap=True)
            for one in detail.seals
        ]
        if len(detail.metals) > 1:
            chips = MetalChips([one.metal for one in detail.metals], self._metal)
            chips.chosen.connect(self._on_metal_chosen)
            parts.append(chips)
        parts.append(self._weight(detail))
        for metal in detail.metals:
            if metal.metal == self._metal:
                parts += self._parts_of_metal(metal)
        if detail.note:
            parts.append(label(f"“{detail.note}”", size=Size.SECOND, wrap=True))
        history = HistoryPart(detail.history)
        history.entry_wanted.connect(self.entry_wanted)
        parts.append(history)
        if detail.shipment:
            shipment = Links([detail.shipment], "All about {name}", shown="Shipment {name}")
            shipment.wanted.connect(self.shipment_wanted)
            parts.append(shipment)
        return parts

    def _weight(self, detail: ItemDetail) -> QWidget:
        numbers, row = self._style.numbers, detail.row
        if row.gross_ug is None:
            told = "never weighed"
        else:
            doubt = f" ± {numbers.fine(row.gross_u_ug, None)}" if row.gross_u_ug else ""
            told = f"{numbers.weight(row.gross_ug)}{doubt} on the scale"
        part = row.owner_share is not None and row.owner_share < NEARLY_ALL
        share = f" {numbers.rough_share(row.owner_share or 0.0)}" if part else ""
        whose = f" · {row.owner}{share}" if row.owner else ""
        why = "The last weighing counts; whose it is follows from the lots that its metal came from"
        return ElidedLabel(f"{told}{whose}", size=Size.SECOND, told=f"{told}{whose}. {why}.")

    def _parts_of_metal(self, metal: MetalOfItem) -> list[QWidget]:
        parts: list[QWidget] = [ContentPart(metal, self._style)]
        if metal.budget:
            from_what = label("What its ± comes from", size=Size.SMALL, kind="soft")
            from_what.setToolTip("The share of each record in the variance; the largest pays best")
            parts.append(from_what)
            parts.append(BudgetPart(metal.budget, self._style))
        if metal.origins:
            origins = OriginsPart(metal, self._style)
            origins.lot_wanted.connect(self.lot_wanted)
            parts.append(origins)
        return parts

    def _on_metal_chosen(self, metal: str) -> None:
        self._metal = metal
        self.restyle()

    def _on_photo_opened(self, photo: PhotoOfItem) -> None:
        if self._detail is not None:
            _PHOTO(self._detail.row.tag, photo, self._pictures, self.window()).open()

    def _on_copy_clicked(self) -> None:
        if self._detail is not None:
            QGuiApplication.clipboard().setText(words_of_detail(self._detail, self._style))

    @override
    def clear(self) -> None:
        self._detail = None
        super().clear()


def words_of_detail(detail: ItemDetail, style: HouseStyle) -> str:
    """Give all that is known of an item as lines of text."""
    numbers, row = style.numbers, detail.row
    lines = [f"{row.tag}, {row.form}, {row.place or NO_PLACE}, {since_words(row)}"]
    lines.append(f"Weight {numbers.weight(row.gross_ug)}")
    for metal in detail.metals:
        told = numbers.figure_with_unit(metal.figure)
        lines.append(f"{metal.metal} {told} ({metal.figure.how.value})")
        lines += [
            f"  {one.lot}\t{numbers.fine(one.fine_ug, one.u_ug)} {numbers.unit}\t"
            f"{NOTHING if one.share is None else numbers.share(one.share)}\t{one.words}"
            for one in metal.origins
        ]
    lines += [f"{day(one.day)}\t{one.words}" for one in detail.history]
    return "\n".join(lines)
