"""A field for a name: of a party, a place, a form, a lot; known names are offered."""

from __future__ import annotations

from collections.abc import Callable, Iterable

from PySide6.QtCore import QStringListModel, Qt, Signal
from PySide6.QtGui import QKeyEvent
from PySide6.QtWidgets import QCompleter, QWidget
from typing_extensions import override

from vault.core.errors import TextNotUnderstood
from vault.core.words import spelling_of, tidied, trouble_with
from vault.screens.widgets.fields import HINT, Field

_MOST_OFFERED = 9
_MOST_ASKED = 3


class NamedField(Field):
    """Offers the names that are known while one is typed, and takes a new one too.

    A name that differs from a known one in capitals, accents or signs alone is asked about.

    Signals:
        named: another name stands in it.
    """

    named = Signal(str)

    def __init__(
        self,
        name: str,
        hint: str = "",
        *,
        new_words: str = "",
        completes: bool = False,
        parent: QWidget | None = None,
    ) -> None:
        """Build the field.

        Args:
            name: what it is called.
            hint: what stands in it while it is empty.
            new_words: said quietly of a name that is not known, such as `new customer`.
            completes: the beginning of exactly one known name is taken as that name; where
                several begin so, which one is asked.
            parent: Qt's.
        """
        super().__init__(name, hint, parent)
        self._new_words = new_words
        self._completes = completes
        self._known: dict[str, str] = {}
        # None until it is told which are known: until then no name is called new.
        self._names: frozenset[str] | None = None
        # Spellings of which the reader said that they are another's.
        self._others: set[str] = set()
        self._told = ""
        self._model = QStringListModel(self)
        self.completer = QCompleter(self._model, self)
        self.completer.setCaseSensitivity(Qt.CaseSensitivity.CaseInsensitive)
        self.completer.setFilterMode(Qt.MatchFlag.MatchContains)
        self.completer.setMaxVisibleItems(_MOST_OFFERED)
        self.completer.activated.connect(self._on_completer_activated)
        self.line.setCompleter(self.completer)
        self.line.editingFinished.connect(self._on_editing_finished)

    @property
    def is_new(self) -> bool:
        """Whether a name stands here that is not known."""
        return bool(self.name()) and self._names is not None and self.name() not in self._names

    def name(self) -> str:
        """Give the name as the book keeps it; empty where there is none."""
        return tidied(self.text)

    def offer(self, names: Iterable[str]) -> None:
        """Know these names from now on, the likeliest first."""
        told = list(dict.fromkeys(names))
        self._names = frozenset(told)
        self._known = {}
        for one in reversed(told):
            self._known[spelling_of(one)] = one
        self._model.setStringList(told)
        # Names also come while somebody types; nothing is said of half a name.
        if not self.line.hasFocus():
            self.look()

    def names_offered(self) -> tuple[str, ...]:
        """Give the names that are known."""
        return tuple(self._model.stringList())

    @override
    def read(self) -> str:
        name = self.name()
        trouble = trouble_with(name)
        if trouble:
            raise TextNotUnderstood(trouble)
        return name

    @override
    def trouble(self) -> str:
        return super().trouble() or self._question()

    @override
    def remark(self) -> str:
        return self._new_words if self.is_new else ""

    @override
    def write(self, text: str) -> None:
        super().write(text)
        self._told = self.name()

    @override
    def look(self) -> None:
        question = self._question()
        if question and self._alike():
            self.ask(
                question,
                [
                    ("Yes, the same", self._answering(self._alike())),
                    ("No, another one", self._keeping(self.name())),
                ],
            )
        elif question:
            named = [(one, self._answering(one)) for one in self._begun()[:_MOST_ASKED]]
            self.ask(question, [*named, ("Something else", self._keeping(self.name()))])
        else:
            super().look()
        self._tell_if_another()

    def _question(self) -> str:
        known = self._alike()
        if known:
            return f"“{known}” is known already. Is it the same?"
        if self._completes and len(self._begun()) > 1 and self.name() not in self._others:
            return f"Several begin with “{self.name()}”. Which is it?"
        return ""

    def _begun(self) -> list[str]:
        """Give the known names that begin with what stands here, where that is none itself."""
        typed = self.name().casefold()
        if not self.is_new:
            return []
        return [one for one in self.names_offered() if one.casefold().startswith(typed)]

    def _alike(self) -> str:
        """Give a known name that is spelt nearly like the one here, if that was not settled."""
        name = self.name()
        if not self.is_new or name in self._others:
            return ""
        return self._known.get(spelling_of(name), "")

    def _keeping(self, name: str) -> Callable[[], None]:
        def kept() -> None:
            self._others.add(name)
            self.line.setFocus()
            self.look()

        return kept

    def _tell_if_another(self) -> None:
        if self.name() != self._told:
            self._told = self.name()
            self.named.emit(self._told)

    def _complete(self) -> None:
        """Write the rest of a name of which the beginning stands here, if it can be one only."""
        begun = self._begun()
        if self._completes and len(begun) == 1 and self.name() not in self._others:
            self.line.setText(begun[0])
            self.edited.emit()

    def _on_editing_finished(self) -> None:
        self._complete()
        self.look()

    def _on_completer_activated(self) -> None:
        # The completer writes the name into the line after this signal.
        self.line.setText(self.completer.currentCompletion())
        self.said_of_it.say("", HINT)
        self.edited.emit()
        self._tell_if_another()

    @override
    def _on_line_entered(self) -> None:
        self._complete()
        super()._on_line_entered()

    @override
    def keyPressEvent(self, event: QKeyEvent) -> None:
        # Down in an empty field shows all that is known.
        if event.key() == Qt.Key.Key_Down and self._model.rowCount():
            self.completer.setCompletionPrefix(self.text)
            self.completer.complete()
            return
        super().keyPressEvent(event)
