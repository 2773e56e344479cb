"""Terms: the sheets of refineries in their versions, the form of one, a parcel under it."""

from __future__ import annotations

from collections.abc import Callable
from datetime import UTC, date, datetime
from functools import partial

from PySide6.QtCore import Qt
from PySide6.QtGui import QAction, QKeySequence, QResizeEvent, QShortcut
from PySide6.QtWidgets import QFrame, QHBoxLayout, QScrollArea, QStackedWidget, QVBoxLayout, QWidget
from typing_extensions import override

from vault.application.changes import Changes
from vault.application.drafts import KeptDraft
from vault.application.queries.answers.terms_sheets import KnownTerms, SheetRow
from vault.core.days import day_to_text
from vault.core.rules.terms_sheets import TermsRefused, faults_of_sheet
from vault.core.terms_sheets import TermsSheet
from vault.screens.background import Background
from vault.screens.failures import is_trouble, sentence_of
from vault.screens.house_style import HouseStyle
from vault.screens.look import GAP
from vault.screens.screen import Screen
from vault.screens.terms_sheets.edits import NEW, Edits, Key
from vault.screens.terms_sheets.example_card import ExampleCard
from vault.screens.terms_sheets.files import SheetFiles
from vault.screens.terms_sheets.list_card import SURELY, SheetList
from vault.screens.terms_sheets.questions import TermsHands, TermsQuestions
from vault.screens.terms_sheets.sheet_page import SheetPage
from vault.screens.terms_sheets.texts import Texts, empty_texts, texts_of
from vault.screens.terms_sheets.trial import Trial
from vault.screens.widgets.empty import EmptyState

DRAFT = "terms"
_WAITING, _FULL, _EMPTY = 0, 1, 2
# Below this width the parcel stands under the form.
_WIDE_FROM = 1080
_NO_SHEET = "No terms sheet is kept yet"
_NO_SHEET_WORDS = (
    "A terms sheet is what a refinery pays for residues and takes for its work. Write one down "
    "from its paper, and the program can say what a drum would bring under it; or read in a file "
    "of sheets that was written out."
)
_TROUBLE = "The terms sheets cannot be shown"


class TermsScreen(Screen):
    """Asks for the sheets, keeps what is typed, and has a sheet kept as its next version."""

    def __init__(
        self,
        questions: TermsQuestions,
        background: Background,
        style: HouseStyle,
        hands: TermsHands,
    ) -> None:
        super().__init__()
        self._questions = questions
        self._background = background
        self._style = style
        self._hands = hands
        self._known: KnownTerms | None = None
        self._key: Key | None = None
        # The one whose form is shown from the top.
        self._shown: Key | None = None
        self._wanted: tuple[str, str] | None = None
        self.edits = Edits()
        self._ask_known = background.asker(self)
        self._draft = hands.drafts.draft(DRAFT, self)
        self.list = SheetList(style)
        self.page = SheetPage(style, self._today)
        self.example = ExampleCard(style)
        self.trial = Trial(questions, background, style, self.page.form, self.example)
        self.files = SheetFiles(questions, background, hands.recorder, hands.choosers, self)
        self._lay_out()
        self._connect()

    # --- what the window calls ------------------------------------------------------------------

    @override
    def show_book(self, book: object | None) -> None:
        self._book = book
        self._known, self._key, self._wanted = None, None, None
        self.edits.clear()
        self.page.say("")
        self.example.begin()
        self._pages.setCurrentIndex(_WAITING)
        self._draft.of(book)
        self.refresh()

    def refresh(self) -> None:
        """Ask for the sheets anew; what is typed stays."""
        if self.book is None:
            self._ask_known.forget()
            self.trial.stop()
            return
        self._ask_known.ask(partial(_asked, self._questions, self.book), self._on_known_answered)

    def set_filter(self, text: str) -> None:
        """Show only the sheets that hold every word of what is typed."""
        if self.list.filter_by(text) and self._known is not None:
            self._show_list()

    def choose(self, name: str) -> None:
        """Choose the newest version of a sheet: its refinery and name, parted by a line break."""
        if name:
            party, _, sheet = name.partition("\n")
            self._wanted = (party, sheet)
            self._choose_wanted()
        self.setFocus()

    @override
    def leave(self) -> None:
        self.trial.stop()

    # --- building -------------------------------------------------------------------------------

    def _lay_out(self) -> None:
        self._right = QScrollArea()
        self._right.setWidgetResizable(True)
        self._right.setFrameShape(QFrame.Shape.NoFrame)
        self._right.setFocusPolicy(Qt.FocusPolicy.NoFocus)
        self._right.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
        self._right.setWidget(self.example)
        full = QWidget()
        row = QHBoxLayout(full)
        row.setContentsMargins(GAP + 6, GAP + 2, GAP + 6, GAP)
        row.setSpacing(GAP)
        row.addWidget(self.list, 33)
        row.addWidget(self.page, 62)
        row.addWidget(self._right, 29)
        self.new_action = QAction("Write down a sheet", self)
        self.read_action = QAction("Read in …", self)
        self.empty = EmptyState(_NO_SHEET, _NO_SHEET_WORDS, [self.new_action, self.read_action])
        self._pages = QStackedWidget()
        self._pages.addWidget(QWidget())
        self._pages.addWidget(full)
        self._pages.addWidget(self.empty)
        outer = QVBoxLayout(self)
        outer.setContentsMargins(0, 0, 0, 0)
        outer.addWidget(self._pages)
        self.setFocusProxy(self.list)

    def _connect(self) -> None:
        self.list.rows.row_chosen.connect(self._on_chosen)
        self.list.rows.row_entered.connect(self.page.form.setFocus)
        self.list.new_button.clicked.connect(self._on_new_wanted)
        self.list.take_away_button.clicked.connect(self._on_take_away_clicked)
        self.list.write_out_button.clicked.connect(self._on_write_out_clicked)
        self.list.read_in_button.clicked.connect(self.files.read_in)
        self.new_action.triggered.connect(self._on_new_wanted)
        self.read_action.triggered.connect(self.files.read_in)
        self.page.form.edited.connect(self._on_edited)
        self.page.save_button.clicked.connect(self._save)
        self.page.leave_button.clicked.connect(self._on_leave_clicked)
        self.page.copy_button.clicked.connect(self._on_copy_clicked)
        self._draft.came_back.connect(self._on_draft_came_back)
        self.files.told.connect(self.page.say)
        self.files.missed.connect(self.told)
        self.files.read.connect(self.refresh)
        self._style.changed.connect(self.refresh)
        for keys in ("Ctrl+Return", "Ctrl+Enter", "Ctrl+S"):
            self._on_key(keys, self, self._save)
        self._on_key("Escape", self.page, self.list.setFocus)

    @staticmethod
    def _on_key(keys: str, where: QWidget, done: Callable[[], object]) -> None:
        shortcut = QShortcut(QKeySequence(keys), where)
        shortcut.setContext(Qt.ShortcutContext.WidgetWithChildrenShortcut)
        shortcut.activated.connect(done)

    # --- answers --------------------------------------------------------------------------------

    def _on_known_answered(self, answer: tuple[KnownTerms, float]) -> None:
        self._known, interest = answer
        self.page.form.head.party.offer(self._known.parties)
        self.trial.know(self._known.prices, interest)
        self._choose_wanted()

    def _choose_wanted(self) -> None:
        """Choose what was asked for, what was chosen before, or the first sheet."""
        known = self._known
        if known is None:
            return
        keys = [row.key for row in known.rows]
        if self._wanted is not None:
            named = [key for key in keys if key[:2] == self._wanted and key[0]]
            self._key = next(iter(named), self._key)
            self._wanted = None
        if self._key not in keys and not (self._key == NEW and NEW in self.edits):
            self._key = NEW if NEW in self.edits else next(iter(keys), None)
        self._show_list()

    def _show_list(self) -> None:
        """Show the list, and in the form what is chosen in it."""
        known = self._known
        if known is None:
            return
        if self._key is None:
            self.empty.say(
                _TROUBLE if known.trouble else _NO_SHEET, known.trouble or _NO_SHEET_WORDS
            )
            may_begin = not known.trouble and self._may_write()
            for action in (self.new_action, self.read_action):
                action.setEnabled(may_begin)
            self._pages.setCurrentIndex(_EMPTY)
            return
        self._pages.setCurrentIndex(_FULL)
        self._key = self.list.show_sheets(known.rows, self.edits, self._key) or self._key
        self._show_sheet()

    def _show_sheet(self) -> None:
        """Show what is kept of the chosen version, or what was typed in its place."""
        key = self._key
        if key is None or self._known is None:
            return
        typed, kept = self.edits.of(key), self._kept_texts(key)
        texts = typed or kept
        if texts is not None and self.page.form.texts() != texts:
            self.page.form.write(texts, is_kept=key != NEW)
        if self._shown != key:
            self._shown = key
            self.page.form.verticalScrollBar().setValue(0)
        self._show_head()
        self.trial.look()

    def _show_head(self) -> None:
        row = self._row()
        self.page.show_head(
            row,
            is_typed=self._key is not None and self._key in self.edits,
            may_write=self._may_write(),
            next_version=1 if row is None else self._newest_of(row) + 1,
        )
        self.list.take_away_button.setEnabled(row is not None and self._may_write())
        self.list.write_out_button.setEnabled(bool(self._known and self._known.rows))
        for button in (self.list.new_button, self.list.read_in_button):
            button.setEnabled(self._may_write())

    # --- the reader -----------------------------------------------------------------------------

    def _on_chosen(self, key: Key) -> None:
        if key != self._key:
            self._key = key
            self.page.say("")
            self.list.ask(on=False)
            self._show_sheet()

    def _on_edited(self) -> None:
        if self._key is None:
            return
        self.page.say("")
        if self.edits.put(self._key, self.page.form.texts(), self._kept_texts(self._key)):
            self._keep_draft()
        self._show_head()
        known = self._known
        if known is not None:
            self.list.show_sheets(known.rows, self.edits, self._key)
        self.trial.look_soon()

    def _on_new_wanted(self) -> None:
        self._begin(self.edits.of(NEW) or self._blank())

    def _on_copy_clicked(self) -> None:
        if NEW in self.edits:
            self.page.refuse("A new sheet is begun already; save it, or throw it away first.")
            return
        texts = self.page.form.texts()
        head = texts["head"] | {"name": ""}
        self._begin(texts | {"head": head})

    def _begin(self, texts: Texts) -> None:
        """Begin a sheet that is not kept yet; one at a time."""
        self.edits.put(NEW, texts, None)
        self._keep_draft()
        self._key = NEW
        self._show_list()
        self.page.say("")
        head = self.page.form.head
        (head.name if head.party.text else head.party).setFocus()

    def _on_leave_clicked(self) -> None:
        """Leave the sheet as it is kept, and forget what was typed."""
        if self._key is not None:
            self.edits.drop(self._key)
            self._keep_draft()
            self.page.say("")
            self._choose_wanted()

    def _on_draft_came_back(self, kept: KeptDraft) -> None:
        self.edits.restore(kept.content)
        self.page.say("What was typed before and not saved stands here again.")
        self._choose_wanted()

    def _on_take_away_clicked(self) -> None:
        """Take the sheet away at the second press; the first one tells what that means."""
        row = self._row()
        if row is None:
            return
        if not self.list.is_asked():
            self.list.ask()
            self.page.say(
                f"“{row.sheet.name}” goes with all its versions, and does not come back. Press "
                f"“{SURELY}” if it was entered by mistake."
            )
            return
        party, name, _ = row.key
        take_away = self._questions.take_away
        self._hands.recorder.record(
            lambda book: take_away(book, party, name),
            lambda _changes: self._after_change(f"“{name}” of {party} was taken away."),
            self._on_failed,
            "Taking the sheet away …",
        )

    def _on_write_out_clicked(self) -> None:
        if self.book is not None:
            self.files.write_out(self.book)

    def _save(self) -> None:
        """Have the sheet kept, or say what it lacks and where."""
        if self._key is None or not self.page.save_button.isEnabled():
            return
        form = self.page.form
        where = form.first_unclear()
        sheet = form.sheet()
        if where is None and sheet is not None:
            where = form.show_faults(faults_of_sheet(sheet))
        if where is not None or sheet is None:
            self.page.refuse("Nothing was saved: see what stands under the fields in red.")
            if where is not None:
                where.setFocus()
            return
        key, keep = self._key, self._questions.keep
        self.page.save_button.setEnabled(False)
        self._hands.recorder.record(
            lambda book: keep(book, sheet),
            partial(self._on_kept, key, sheet),
            self._on_failed,
            "Keeping the sheet …",
        )

    def _on_kept(self, key: Key, sheet: TermsSheet, _changes: Changes) -> None:
        self.edits.drop(key)
        self._keep_draft()
        self._wanted = (sheet.party, sheet.name)
        self._after_change(f"“{sheet.name}” of {sheet.party} was saved.")

    def _after_change(self, sentence: str) -> None:
        self.page.say(sentence)
        self.list.ask(on=False)
        self.refresh()

    def _on_failed(self, error: BaseException) -> None:
        self._show_head()
        if isinstance(error, TermsRefused):
            where = self.page.form.show_faults(error.faults)
            if where is not None:
                where.setFocus()
        if is_trouble(error):
            self.page.refuse(sentence_of(error))
        else:
            self._background.failed.emit(error)

    # --- its own --------------------------------------------------------------------------------

    def _row(self) -> SheetRow | None:
        rows = () if self._known is None else self._known.rows
        return next((row for row in rows if row.key == self._key), None)

    def _newest_of(self, row: SheetRow) -> int:
        rows = () if self._known is None else self._known.rows
        return max(one.key[2] for one in rows if one.key[:2] == row.key[:2])

    def _kept_texts(self, key: Key) -> Texts | None:
        """Give what is kept of a version, or what a new sheet begins with."""
        if key == NEW:
            return None
        rows = () if self._known is None else self._known.rows
        found = next((row for row in rows if row.key == key), None)
        return None if found is None else texts_of(found.sheet, self._style.numbers.decimal_mark)

    def _blank(self) -> Texts:
        currency = "" if self._known is None else self._known.currency
        return empty_texts(currency or "EUR", day_to_text(self._today()))

    def _keep_draft(self) -> None:
        if len(self.edits):
            self._draft.keep(self.edits.content())
        else:
            self._draft.drop()

    def _may_write(self) -> bool:
        return bool(getattr(self.book, "may_write", False))

    def _today(self) -> date:
        return datetime.now(UTC).date() if self._known is None else self._known.today

    @override
    def resizeEvent(self, event: QResizeEvent) -> None:
        super().resizeEvent(event)
        is_wide = self.width() >= _WIDE_FROM
        if is_wide is self._right.isVisibleTo(self):
            return
        if is_wide:
            self.page.form.foot.removeWidget(self.example)
            self._right.setWidget(self.example)
        else:
            self.page.form.foot.addWidget(self._right.takeWidget())
        self._right.setVisible(is_wide)
        self.example.show()


def _asked(questions: TermsQuestions, book: object) -> tuple[KnownTerms, float]:
    return questions.known(book), questions.interest(book)
