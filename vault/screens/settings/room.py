"""Opens the settings: those of this computer, and those that travel with the open book."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

from PySide6.QtCore import QObject, Signal
from PySide6.QtWidgets import QWidget

from vault.core.circumstances import CircumstancesNotClear, insist
from vault.core.errors import VaultError
from vault.screens.background import Background
from vault.screens.house_style import HouseStyle
from vault.screens.later import later
from vault.screens.recorder import Recorder
from vault.screens.settings.choices import Choices

if TYPE_CHECKING:
    from vault.application.circumstances import CircumstancesToSet
    from vault.application.holds import Hold
    from vault.core.circumstances import OwnCircumstances
    from vault.screens.settings.dialog import ShopPage
    from vault.screens.settings.hold_page import HoldPage
    from vault.screens.settings.sending_page import SendingPage
    from vault.screens.settings.tag_page import TagPage

_DIALOG = later("vault.screens.settings.dialog", "SettingsDialog")
_TAG_PAGE = later("vault.screens.settings.tag_page", "TagPage")
_HOLD_PAGE = later("vault.screens.settings.hold_page", "HoldPage")
_SENDING_PAGE = later("vault.screens.settings.sending_page", "SendingPage")


def _no_prefixes(_book: object) -> Mapping[str, str]:
    return {}


@dataclass(frozen=True, slots=True)
class SendingQuestions:
    """What the page about sending residues out asks of a book, and does in it.

    Attributes:
        known: what is set, and what holds where nothing is.
        keep: keeps what is set; gives the `Changes`.
    """

    known: Callable[[object], CircumstancesToSet]
    keep: Callable[[object, OwnCircumstances], object]


@dataclass(frozen=True, slots=True)
class ShopQuestions:
    """What the settings ask of a book, and do in it.

    Attributes:
        hold: how long things are held; None for no hold.
        insist: raises where a hold cannot be kept as it is.
        set_hold: keeps a hold, or none; gives the `Changes`.
        prefixes: which capitals tags begin with, by form.
        set_prefixes: keeps such capitals; gives the `Changes`.
        sending: about sending residues out.
    """

    hold: Callable[[object], Hold | None]
    insist: Callable[[Hold | None], object]
    set_hold: Callable[[object, Hold | None], object]
    prefixes: Callable[[object], Mapping[str, str]] = _no_prefixes
    set_prefixes: Callable[[object, Mapping[str, str]], object] | None = None
    sending: SendingQuestions | None = None


class SettingsRoom(QObject):
    """Opens the dialog once what is set is known.

    Signals:
        accepted: something may be set otherwise now.
    """

    accepted = Signal()

    def __init__(
        self,
        choices: Choices,
        background: Background,
        recorder: Recorder,
        questions: ShopQuestions | None,
        window: QWidget,
        style: HouseStyle | None = None,
    ) -> None:
        super().__init__(window)
        self._style = style or HouseStyle()
        self._choices = choices
        self._background = background
        self._recorder = recorder
        self._questions = questions
        self._window = window
        self._asker = background.asker(self)

    def show(self, book: object | None) -> None:
        """Open the settings, with the page of a book that may be written in."""
        questions = self._questions
        if book is None or questions is None or not getattr(book, "may_write", False):
            self._open(None)
        else:
            self._asker.ask(lambda: _asked(questions, book), self._on_answered)

    def _on_answered(self, kept: _Kept) -> None:
        questions = self._questions
        if questions is None:
            return
        ways = (self._recorder, self._background)
        shop = HoldSettings(kept.hold, questions, *ways)
        more: list[ShopPage] = []
        if questions.set_prefixes is not None:
            more.append(TagSettings(kept.prefixes, questions.set_prefixes, *ways))
        if questions.sending is not None and kept.sending is not None:
            page: SendingPage = _SENDING_PAGE(kept.sending, self._style)
            more.append(SendingSettings(page, kept.sending.own, questions.sending.keep, *ways))
        self._open(shop, more)

    def _open(self, shop: HoldSettings | None, more: Sequence[ShopPage] = ()) -> None:
        dialog = _DIALOG(self._choices, self._window, shop, more)
        dialog.accepted.connect(self.accepted)
        dialog.open()


@dataclass(frozen=True, slots=True)
class _Kept:
    """What is set in a book."""

    hold: Hold | None
    prefixes: Mapping[str, str]
    sending: CircumstancesToSet | None


def _asked(questions: ShopQuestions, book: object) -> _Kept:
    sending = None if questions.sending is None else questions.sending.known(book)
    return _Kept(questions.hold(book), questions.prefixes(book), sending)


class HoldSettings:
    """The page of the hold, and the way in which what is set on it is kept."""

    title = "Holding"

    def __init__(
        self,
        hold: Hold | None,
        questions: ShopQuestions,
        recorder: Recorder,
        background: Background,
    ) -> None:
        self._was = hold
        self._questions = questions
        self._recorder = recorder
        self._background = background
        self.page: HoldPage = _HOLD_PAGE(hold)

    def keep(self) -> bool:
        """Keep the hold if it is another one; where that cannot be, say why and tell so."""
        try:
            hold = self.page.hold()
            self._questions.insist(hold)
        except VaultError as error:
            self.page.tell(str(error))
            return False
        if hold != self._was:
            set_hold = self._questions.set_hold
            self._recorder.record(
                lambda book: set_hold(book, hold),
                lambda _changes: None,
                self._background.failed.emit,
                "Keeping the hold …",
            )
        return True


class TagSettings:
    """The page of the capitals of tags, and the way in which what is set on it is kept."""

    title = "Tags"

    def __init__(
        self,
        prefixes: Mapping[str, str],
        set_prefixes: Callable[[object, Mapping[str, str]], object],
        recorder: Recorder,
        background: Background,
    ) -> None:
        self._was = dict(prefixes)
        self._set_prefixes = set_prefixes
        self._recorder = recorder
        self._background = background
        self.page: TagPage = _TAG_PAGE(prefixes)

    def keep(self) -> bool:
        """Keep the capitals if they are others; where that cannot be, say why and tell so."""
        trouble = self.page.trouble()
        self.page.tell(trouble)
        if trouble:
            return False
        prefixes, keep = self.page.prefixes(), self._set_prefixes
        if prefixes != self._was:
            self._recorder.record(
                lambda book: keep(book, prefixes),
                lambda _changes: None,
                self._background.failed.emit,
                "Keeping the capitals of tags …",
            )
        return True


class SendingSettings:
    """The page of what a choice about residues goes by, and the way in which it is kept."""

    title = "Sending out"

    def __init__(
        self,
        page: SendingPage,
        was: OwnCircumstances,
        keep: Callable[[object, OwnCircumstances], object],
        recorder: Recorder,
        background: Background,
    ) -> None:
        self.page = page
        self._was = was
        self._keep = keep
        self._recorder = recorder
        self._background = background

    def keep(self) -> bool:
        """Keep what is set if it is something else; where that cannot be, say why and tell so."""
        try:
            own = self.page.circumstances()
            insist(own)
        except CircumstancesNotClear as error:
            self.page.tell("")
            self.page.point_at(error.path, str(error))
            return False
        except VaultError as error:
            self.page.tell(str(error))
            return False
        if own != self._was:
            keep = self._keep
            self._recorder.record(
                lambda book: keep(book, own),
                lambda _changes: None,
                self._background.failed.emit,
                "Keeping what sending hangs on …",
            )
        return True
