"""What could be done with any items, scanned or typed one after the other."""

from __future__ import annotations

from collections.abc import Sequence
from functools import partial

from PySide6.QtWidgets import QPushButton, QScrollArea, QVBoxLayout, QWidget

from vault.application.queries.answers.send_out import SendOut
from vault.screens.commands import Commands
from vault.screens.dialogs import ShortDialog
from vault.screens.failures import is_trouble, sentence_of
from vault.screens.forms.items_field import ItemsField
from vault.screens.forms.kit import FormKit
from vault.screens.send_out.parts import ChoicePart, VerdictPart
from vault.screens.send_out.why_dialog import WhyDialog
from vault.screens.widgets.fields import Captioned
from vault.screens.widgets.labels import label

_WHAT = "Take together what would go out together; nothing is recorded here."


class SendOutDialog(ShortDialog):
    """Tells whether the items in its list are worth sending out together."""

    def __init__(
        self,
        kit: FormKit,
        tags: Sequence[str],
        commands: Commands,
        parent: QWidget | None = None,
    ) -> None:
        super().__init__("Is it worth sending out?", parent)
        self._kit = kit
        self._commands = commands
        self._answer: SendOut | None = None
        self._asker = kit.background.asker(self)
        self.items = ItemsField(kit)
        self.choice = ChoicePart(kit.style)
        self.verdict = VerdictPart(commands)
        self.why_button = QPushButton("Why, line by line …")
        self._lay_out()
        self.items.edited.connect(self._ask)
        self.why_button.clicked.connect(self._on_why_button_clicked)
        self.items.setFocus()
        if tags:
            self.items.take(tags)
        self._show(None)

    @property
    def answer(self) -> SendOut | None:
        """What is shown; None where nothing was asked, or while it is worked out."""
        return self._answer

    def take_scan(self, text: str) -> bool:
        """Take what was scanned while the dialog lies open."""
        self.items.take_scan(text)
        return True

    def _lay_out(self) -> None:
        inside = QWidget()
        column = QVBoxLayout(inside)
        column.setContentsMargins(0, 0, 12, 0)
        column.setSpacing(10)
        for part in (
            label(_WHAT, kind="soft", wrap=True),
            Captioned("Items", self.items),
            self.choice,
            self.verdict,
        ):
            column.addWidget(part)
        column.addStretch(1)
        area = QScrollArea()
        area.setWidgetResizable(True)
        area.setFrameShape(QScrollArea.Shape.NoFrame)
        area.setWidget(inside)
        self.column.addWidget(area)
        self.buttons.addButton(self.why_button, self.buttons.ButtonRole.ActionRole)
        # Enter takes a tag, and would else press whichever button Qt takes for the default one.
        for button in self.buttons.buttons():
            if isinstance(button, QPushButton):
                button.setAutoDefault(False)
                button.setDefault(False)
        self.resize(720, 760)

    def _ask(self) -> None:
        self._show(None)
        if not self.items.tags:
            self._asker.forget()
            return
        self.choice.wait()
        kit = self._kit
        question = partial(kit.questions.worth_sending, kit.book, self.items.tags)
        self._asker.ask(partial(question, kit.style.numbers), self._show, self._on_failed)

    def _show(self, answer: SendOut | None) -> None:
        self._answer = answer
        self.choice.show_choice(answer)
        self.verdict.show_choice(answer)
        self.why_button.setVisible(answer is not None and bool(answer.rows))

    def _on_failed(self, error: BaseException) -> None:
        self._show(None)
        if is_trouble(error):
            self.choice.how.setText(sentence_of(error))
        else:
            self._kit.background.failed.emit(error)

    def _on_why_button_clicked(self) -> None:
        if self._answer is not None:
            tags = self.items.tags
            subject = tags[0] if len(tags) == 1 else f"{len(tags)} items"
            WhyDialog(subject, self._answer, self._kit.style, self._commands, self).open()
