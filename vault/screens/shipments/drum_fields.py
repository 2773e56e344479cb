"""What is typed of one container that goes: its weights, and the seal that is put on."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from PySide6.QtCore import Signal
from PySide6.QtWidgets import QGridLayout, QWidget

from vault.application.operations.shipment_draft import DrumDraft
from vault.application.queries.answers.shipments import PackedRow
from vault.core.masses import Mass
from vault.core.words import tidied
from vault.screens.forms.kit import FormKit
from vault.screens.look import Size
from vault.screens.widgets.fields import Captioned, Field
from vault.screens.widgets.labels import label
from vault.screens.widgets.weight_field import WeightField


@dataclass(frozen=True, slots=True)
class TypedWeight:
    """What stands in a field for a weight, and what it was read on."""

    text: str = ""
    mass: Mass | None = None
    scale: str = ""
    u: Mass | None = None

    @property
    def is_unread(self) -> bool:
        """Whether something stands there that is no weight."""
        return bool(self.text) and self.mass is None


@dataclass(frozen=True, slots=True)
class DrumTexts:
    """What was typed of one container."""

    full: TypedWeight = TypedWeight()  # frozen
    empty: TypedWeight = TypedWeight()  # frozen
    seal: str = ""
    witness: str = ""

    def draft(self, name: str) -> DrumDraft:
        """Give what it says of the container of this name."""
        return DrumDraft(
            name=name,
            on_scale=self.full.mass,
            gross_u=self.full.u,
            tare=self.empty.mass,
            scale=self.full.scale,
            seal=tidied(self.seal),
            witness=tidied(self.witness),
        )

    def content(self) -> dict[str, object]:
        """Give it as a draft keeps it; weights come back as typed ones."""
        return {
            "full": self.full.text,
            "empty": self.empty.text,
            "seal": self.seal,
            "witness": self.witness,
        }


class DrumFields(QWidget):
    """Shows and takes what is typed of the container that is chosen.

    Signals:
        edited: something was typed.
        taken: Enter in the last field.
    """

    edited = Signal()
    taken = Signal()

    def __init__(self, kit: FormKit, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        unit = kit.style.numbers.unit
        self.about = label(size=Size.SECOND, kind="soft", wrap=True)
        self.full = kit.weight_field("full, on the scale", f"weight in {unit}")
        self.empty = kit.tare_field("empty container", "none")
        self.seal = Field("seal put on now", "number on it")
        self.witness = Field("seen by", "a second person")
        self._texts: dict[str, DrumTexts] = {}
        self._name = ""
        grid = QGridLayout(self)
        grid.setContentsMargins(0, 0, 0, 0)
        grid.setHorizontalSpacing(10)
        grid.setVerticalSpacing(4)
        grid.addWidget(self.about, 0, 0, 1, 4)
        captions = ("Full, on the scale", "Empty (tare)", "Seal put on now", "Seen by")
        for place, (caption, field) in enumerate(zip(captions, self._fields(), strict=True)):
            grid.addWidget(Captioned(caption, field), 1, place)
            grid.setColumnStretch(place, 1)
            field.edited.connect(self._on_edited)
        self._lead_on()
        self.show_row(None)

    @property
    def name(self) -> str:
        """The container that is shown; empty for none."""
        return self._name

    def show_row(self, row: PackedRow | None) -> None:
        """Show what was typed of a container; an item or nothing has no fields."""
        name = row.name if row is not None and row.is_container else ""
        if name != self._name:
            self._name = name
            self._write(self._texts.get(name, DrumTexts()))
        self.setVisible(bool(name))
        self.about.setText(_about(row))

    def texts_of(self, name: str) -> DrumTexts:
        """Give what was typed of a container."""
        return self._texts.get(name, DrumTexts())

    def unread(self) -> tuple[str, str]:
        """Give the first container of which a weight cannot be read, and why."""
        for name, texts in self._texts.items():
            for told, what in ((texts.full, "full"), (texts.empty, "empty")):
                if told.is_unread:
                    return name, f"The weight of {name} {what} cannot be read: “{told.text}”."
        return "", ""

    def content(self) -> dict[str, object]:
        """Give everything that was typed, by container, as a draft keeps it."""
        return {name: texts.content() for name, texts in self._texts.items()}

    def fill(self, content: Mapping[str, Any]) -> None:
        """Take what a draft kept."""
        name, self._name = self._name, ""
        for drum, told in content.items():
            self._write_texts(told)
            self._texts[str(drum)] = self._read()
        self._name = name
        self._write(self._texts.get(name, DrumTexts()))

    # --- its own --------------------------------------------------------------------------------

    def _fields(self) -> tuple[Field, ...]:
        return (self.full, self.empty, self.seal, self.witness)

    def _lead_on(self) -> None:
        self.full.taken.connect(self.empty.setFocus)
        self.empty.taken.connect(self.seal.setFocus)
        self.seal.taken.connect(self.witness.setFocus)
        self.witness.taken.connect(self.taken)

    def _on_edited(self) -> None:
        if self._name:
            self._texts[self._name] = self._read()
            self.edited.emit()

    def _read(self) -> DrumTexts:
        return DrumTexts(_typed(self.full), _typed(self.empty), self.seal.text, self.witness.text)

    def _write(self, texts: DrumTexts) -> None:
        for field, told in ((self.full, texts.full), (self.empty, texts.empty)):
            if told.scale and told.mass is not None:
                field.write_mass(told.mass, told.scale, told.u)
            else:
                field.write(told.text)
        self.seal.write(texts.seal)
        self.witness.write(texts.witness)

    def _write_texts(self, told: Mapping[str, Any]) -> None:
        for name in ("full", "empty", "seal", "witness"):
            field: Field = getattr(self, name)
            field.write(str(told.get(name, "")))


def _typed(field: WeightField) -> TypedWeight:
    return TypedWeight(field.text, field.mass(), field.source(), field.mass_u)


def _about(row: PackedRow | None) -> str:
    if row is None:
        return ""
    on_it = row.seal_on_it
    sealed = f"Seal {on_it} is on it in the book." if on_it else "No seal is on it in the book."
    return f"{row.name}, as it leaves. {sealed}"
