"""The page of the settings on which the owner says how long things are held."""

from __future__ import annotations

from PySide6.QtWidgets import QLineEdit, QVBoxLayout, QWidget

from vault.application.holds import ASK_THE_LAW, CountedFrom, Hold, HoldNotClear
from vault.core.daybook import Terms
from vault.screens.look import Size
from vault.screens.settings.one_of import OneOf
from vault.screens.widgets.cards import Note
from vault.screens.widgets.labels import label

_BROUGHT = frozenset({Terms.BOUGHT, Terms.TOLL})
_FOR = (
    ("brought", "What customers bring: theirs, and what we buy"),
    ("bought", "Only what we buy"),
)
_COUNTED = (
    (CountedFrom.RECEIPT.value, "The day of receipt is the first"),
    (CountedFrom.DAY_AFTER.value, "The day after it is the first"),
)
_MEANING = (
    "What is held is neither worked, sent nor sold before its day; it may be returned. What was "
    "received before keeps its own day. Local codes and licensed practice come first."
)


class HoldPage(QWidget):
    """Takes a hold, or none where no days are typed."""

    title = "Holding"

    def __init__(self, hold: Hold | None, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.days = _line("Days", "none", "" if hold is None else str(hold.days))
        self.place = _line("Place", "town, state or country", hold.place if hold else "")
        self.source = _line(
            "Source", "the law, licence or agreement that asks for it", hold.source if hold else ""
        )
        of = "brought" if hold is None or Terms.TOLL in hold.terms else "bought"
        self.terms = OneOf("For", _FOR, of)
        counted = CountedFrom.RECEIPT if hold is None else hold.counted_from
        self.counted_from = OneOf("Counted from", _COUNTED, counted.value)
        self.trouble_told = label(kind="attention", wrap=True)
        self._lay_out()

    def hold(self) -> Hold | None:
        """Give the hold; None where no days are typed.

        Raises:
            HoldNotClear: when the days are no number.
        """
        typed = self.days.text().strip()
        if not typed:
            return None
        if not (typed.isascii() and typed.isdigit()):
            raise HoldNotClear(f"“{typed}” is no number of days; type whole days, such as 14.")
        return Hold(
            days=int(typed),
            place=self.place.text().strip(),
            source=self.source.text().strip(),
            counted_from=CountedFrom(self.counted_from.value),
            terms=_BROUGHT if self.terms.value == "brought" else frozenset({Terms.BOUGHT}),
        )

    def tell(self, sentence: str) -> None:
        """Say what is wrong, or nothing."""
        self.trouble_told.setText(sentence)
        self.trouble_told.setVisible(bool(sentence))

    def _lay_out(self) -> None:
        column = QVBoxLayout(self)
        column.setContentsMargins(4, 12, 4, 4)
        column.setSpacing(8)
        column.addWidget(label("How long is held what comes in?", bold=True, size=Size.TITLE))
        column.addWidget(Note(ASK_THE_LAW))
        for words, line in (
            ("Days; empty for no hold", self.days),
            ("Where the rule holds", self.place),
            ("Who asks for it", self.source),
        ):
            column.addWidget(label(words, bold=True))
            column.addWidget(line)
        column.addWidget(self.terms)
        column.addWidget(self.counted_from)
        column.addWidget(self.trouble_told)
        self.trouble_told.hide()
        column.addWidget(label(_MEANING, kind="soft", size=Size.SECOND, wrap=True))
        column.addStretch(1)


def _line(name: str, hint: str, text: str) -> QLineEdit:
    made = QLineEdit(text)
    made.setAccessibleName(name)
    made.setPlaceholderText(hint)
    return made
