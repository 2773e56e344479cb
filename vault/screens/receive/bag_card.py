"""One bag of a receipt: its tag, what it is, its weights, what is declared, where it goes."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from pathlib import Path
from typing import Any, Protocol

from PySide6.QtCore import Qt, Signal
from PySide6.QtWidgets import QGridLayout, QHBoxLayout, QToolButton, QWidget

from vault.application.operations.receipt_draft import BagDraft
from vault.application.queries.answers.receive import BagPreview
from vault.core.words import tidied
from vault.screens.house_style import HouseStyle
from vault.screens.look import FIELD_HEIGHT, Size
from vault.screens.receive.photo_link import PhotoLink
from vault.screens.widgets.cards import Card
from vault.screens.widgets.fields import Captioned, Field
from vault.screens.widgets.fineness_field import ContentsField
from vault.screens.widgets.labels import ElidedLabel
from vault.screens.widgets.named_field import NamedField
from vault.screens.widgets.weight_field import TareField, WeightField

_COLUMNS, _ROWS = 12, 4
# Where each part stands: row, column, and over how many columns.
_WIDE = {
    "tag": (0, 0, 2),
    "form": (0, 2, 3),
    "gross": (0, 5, 3),
    "tare": (0, 8, 2),
    "net": (0, 10, 2),
    "contents": (1, 0, 6),
    "place": (1, 6, 3),
    "note": (1, 9, 3),
}
_NARROW = {
    "tag": (0, 0, 4),
    "form": (0, 4, 8),
    "gross": (1, 0, 4),
    "tare": (1, 4, 4),
    "net": (1, 8, 4),
    "contents": (2, 0, 12),
    "place": (3, 0, 6),
    "note": (3, 6, 6),
}


# The fields that Enter goes through, in this order; the tag is proposed and seldom changed.
_WAY = ("form", "gross", "tare", "contents", "place", "note")


class Weights(Protocol):
    """Makes fields for weights, which look at the scale in use if there is one."""

    def weight_field(self, name: str, hint: str) -> WeightField:
        """Make a field for a weight."""

    def tare_field(self, name: str, hint: str) -> TareField:
        """Make a field for what an empty bag or vessel weighs."""


class BagCard(Card):
    """What is typed of one bag.

    Signals:
        edited: something was typed or chosen.
        finished: Enter on the last field, or on an empty form: the hand is through with it.
        removal_wanted: the cross was pressed.
        photo_wanted: a photo is to be chosen for it.
    """

    edited = Signal()
    finished = Signal()
    removal_wanted = Signal()
    photo_wanted = Signal()

    def __init__(self, style: HouseStyle, weights: Weights, parent: QWidget | None = None) -> None:
        super().__init__(parent, padding=14)
        self._style = style
        self._proposed_tag = ""
        self._proposed_place = ""
        self._place_of: Mapping[str, str] = {}
        self.tag = Field("tag", "the next one")
        self.form = NamedField(
            "what it is", "filings, sweeps, scrap …", new_words="A new word for it.", completes=True
        )
        self.gross = weights.weight_field("on the scale", f"weight in {style.numbers.unit}")
        self.tare = weights.tare_field("empty bag", "none")
        self.net = ElidedLabel(size=Size.TITLE, bold=True)
        self.contents = ContentsField(style)
        self.place = NamedField("place", "shelf, tray, drum …", new_words="A new place.")
        self.note = Field("note", "anything")
        self.photo = PhotoLink()
        self.remove = QToolButton()
        self._parts = self._captioned()
        self._grid = QGridLayout()
        self._is_wide: bool | None = None
        self._lay_out()
        self._connect()

    # --- what the list of bags calls ------------------------------------------------------------

    def arrange(self, *, wide: bool) -> None:
        """Stand in two rows where there is room, in four where there is not."""
        if wide is self._is_wide:
            return
        self._is_wide = wide
        for name, (row, column, over) in (_WIDE if wide else _NARROW).items():
            self._grid.addWidget(self._parts[name], row, column, 1, over)

    def offer(self, forms: Sequence[str], places: Sequence[str], at: Mapping[str, str]) -> None:
        """Know these names, and where things of a form were put last."""
        self._place_of = at
        self.form.offer(forms)
        self.place.offer(places)

    def propose_tag(self, tag: str) -> None:
        """Take a tag, unless another was typed."""
        if self.tag.text in {"", self._proposed_tag}:
            self.tag.write(tag)
        self._proposed_tag = tag

    def propose_place(self, place: str) -> None:
        """Take a place, unless another was typed."""
        if self.place.text in {"", self._proposed_place}:
            self.place.write(place)
        self._proposed_place = place

    def number(self, place: int, *, alone: bool) -> None:
        """Say which bag this is."""
        self.setAccessibleName(f"Bag {place + 1}")
        self.remove.setAccessibleName(f"Remove bag {place + 1}")
        self.remove.setVisible(not alone)

    def show_preview(self, preview: BagPreview) -> None:
        """Show what it weighs without its bag."""
        net = preview.net_ug
        self.net.setText("–" if net is None else self._style.numbers.weight(net))

    @property
    def is_blank(self) -> bool:
        """Whether nothing was typed here yet; a tag and a place are proposed."""
        typed = (self.form, self.gross, self.tare, self.note)
        own_place = self.place.text not in {"", self._proposed_place}
        own_tag = self.tag.text not in {"", self._proposed_tag}
        own_tag = own_tag or self.photo.file is not None
        return not (own_place or own_tag or self.contents.texts() or any(f.text for f in typed))

    def draft(self) -> BagDraft:
        """Give what stands here, as far as it can be read."""
        return BagDraft(
            tag=tidied(self.tag.text),
            form=self.form.name(),
            on_scale=self.gross.mass(),
            gross_u=self.gross.mass_u,
            tare=self.tare.mass(),
            contents=self.contents.contents(),
            place=self.place.name(),
            note=tidied(self.note.text),
            scale=self.gross.source(),
            photo=self.photo.file,
        )

    def trouble(self) -> tuple[QWidget, str] | None:
        """Give the first field that cannot be read, and why; None where all can."""
        for field in (self.form, self.gross, self.tare, self.place):
            if told := field.trouble():
                return field, told
        told = self.contents.trouble()
        return (self.contents.first_unclear(), told) if told else None

    def look(self) -> None:
        """Tell under each field what is wrong with it."""
        for field in (self.tag, self.form, self.gross, self.tare, self.place, self.note):
            field.look()
        self.contents.look()

    def part_named(self, field: str) -> QWidget:
        """Give the part that a finding is about."""
        found = getattr(self, field, None) if field in _WIDE else None
        return found if isinstance(found, QWidget) else self.form

    def content(self) -> dict[str, object]:
        """Give what was typed, as a draft keeps it."""
        texts = ("form", "gross", "tare", "place", "note")
        told: dict[str, object] = {name: getattr(self, name).text for name in texts}
        own_tag = self.tag.text != self._proposed_tag
        return told | {
            "tag": self.tag.text if own_tag else "",
            "photo": "" if self.photo.file is None else str(self.photo.file),
            "contents": [list(one) for one in self.contents.texts()],
        }

    def restore(self, content: Mapping[str, Any]) -> None:
        """Write what a draft kept."""
        for name in ("tag", "form", "gross", "tare", "place", "note"):
            field: Field = getattr(self, name)
            field.write(str(content.get(name, "")))
        photo = str(content.get("photo", ""))
        self.photo.show_file(Path(photo) if photo and Path(photo).is_file() else None)
        self.contents.write_texts([(str(one[0]), str(one[1])) for one in content["contents"]])

    # --- building -------------------------------------------------------------------------------

    def _captioned(self) -> dict[str, QWidget]:
        net = QWidget()
        row = QHBoxLayout(net)
        row.setContentsMargins(0, 0, 0, 0)
        row.setSpacing(0)
        row.addWidget(self.net, 1)
        row.addWidget(self.remove)
        self.net.setMinimumHeight(FIELD_HEIGHT)
        note = Captioned("Note", self.note)
        note.beside_caption(self.photo)
        contents = Captioned("Declared by the customer", self.contents)
        contents.beside_caption(self.contents.add_button)
        return {
            "tag": Captioned("Tag", self.tag),
            "form": Captioned("What it is", self.form),
            "gross": Captioned("On the scale", self.gross),
            "tare": Captioned("Empty bag (tare)", self.tare),
            "net": Captioned("Net", net),
            "contents": contents,
            "place": Captioned("Place", self.place),
            "note": note,
        }

    def _lay_out(self) -> None:
        self.remove.setText("×")
        self.remove.setProperty("kind", "remove")
        self.remove.setToolTip("Leave this bag out of the receipt")
        self.remove.setFocusPolicy(Qt.FocusPolicy.ClickFocus)
        self._grid.setContentsMargins(0, 0, 0, 0)
        self._grid.setHorizontalSpacing(10)
        self._grid.setVerticalSpacing(8)
        for column in range(_COLUMNS):
            self._grid.setColumnStretch(column, 1)
            self._grid.setColumnMinimumWidth(column, 1)
        # With the rows of the narrow way there Qt parts all columns alike, whatever stood before;
        # else those of one bag lie off those of the next.
        self._grid.setRowStretch(_ROWS - 1, 0)
        self.column.addLayout(self._grid)
        self.arrange(wide=True)
        self.setFocusProxy(self.form)

    def _connect(self) -> None:
        for field in (self.tag, self.form, self.gross, self.tare, self.place, self.note):
            field.edited.connect(self.edited)
        self.contents.edited.connect(self.edited)
        self.form.named.connect(self._on_form_named)
        self.tag.taken.connect(self.form.setFocus)
        for name, following in zip(_WAY, (*_WAY[1:], ""), strict=True):
            part = getattr(self, name)
            part.taken.connect(
                self._on_form_taken
                if name == "form"
                else getattr(self, following).setFocus
                if following
                else self.finished
            )
        self.remove.clicked.connect(self.removal_wanted)
        self.photo.wanted.connect(self.photo_wanted)
        self.photo.taken_off.connect(self.edited)

    def _on_form_taken(self) -> None:
        # Enter on an empty form of an untouched bag: there are no more bags.
        if self.is_blank:
            self.finished.emit()
        else:
            self.gross.setFocus()

    def _on_form_named(self, form: str) -> None:
        place = self._place_of.get(form, "")
        if place:
            self.propose_place(place)
            self.edited.emit()
