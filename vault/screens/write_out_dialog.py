"""The dialog that asks what is written out and as which kind of file."""

from __future__ import annotations

from PySide6.QtCore import Qt
from PySide6.QtWidgets import QDialog, QDialogButtonBox, QVBoxLayout, QWidget

from vault.screens.settings.one_of import OneOf
from vault.screens.widgets.labels import label

WHAT = (
    ("stock", "Stock: every item and what it holds"),
    ("origins", "Origins: which lots the metal of each item came from"),
    ("fate", "Fate: where the metal of each lot is now"),
    ("residues", "Residues: what each container holds"),
    ("turnover", "Turnover: residues kept, made and moved on, by class and year"),
    ("daybook", "Daybook: every entry, to be read in again anywhere"),
)
KINDS = (
    ("csv", "CSV, a table for any program"),
    ("xlsx", "XLSX, a workbook"),
    ("json", "JSON, for other programs"),
)


class WriteOutDialog(QDialog):
    """Asks what is written out and as which kind of file; proposes `what`, one of the names."""

    def __init__(self, parent: QWidget | None = None, *, what: str = "") -> None:
        super().__init__(parent)
        self.setAttribute(Qt.WidgetAttribute.WA_DeleteOnClose)
        self.setWindowTitle("Write out")
        self.what = OneOf("What", WHAT, what or WHAT[0][0])
        self.kind = OneOf("As", KINDS, KINDS[0][0])
        buttons = QDialogButtonBox(QDialogButtonBox.StandardButton.Cancel)
        self.go_on = buttons.addButton("Write out …", QDialogButtonBox.ButtonRole.AcceptRole)
        self.go_on.setProperty("kind", "first")
        buttons.accepted.connect(self.accept)
        buttons.rejected.connect(self.reject)
        column = QVBoxLayout(self)
        column.setContentsMargins(20, 16, 20, 16)
        column.setSpacing(10)
        column.addWidget(self.what)
        column.addWidget(self.kind)
        told = (
            "Masses are in grams with all digits, whatever the settings say. An estimate below "
            "zero is written as it is, so that the items add up to the totals."
        )
        column.addWidget(label(told, kind="soft", wrap=True))
        column.addStretch(1)
        column.addWidget(buttons)
        self.resize(460, self.sizeHint().height())
