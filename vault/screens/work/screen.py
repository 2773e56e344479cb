"""The Work screen: works done lately, and the form in which the next one is recorded."""

from __future__ import annotations

from collections.abc import Sequence
from functools import partial

from PySide6.QtCore import QTimer
from PySide6.QtWidgets import QStackedWidget, QVBoxLayout

from vault.application.drafts import KeptDraft
from vault.application.operations.work_draft import WorkDraft
from vault.application.queries.answers.bench import RecentWork
from vault.application.recipes import Recipe
from vault.core.daybook import Process
from vault.screens.background import Background
from vault.screens.failures import is_trouble, sentence_of
from vault.screens.house_style import HouseStyle
from vault.screens.later import later
from vault.screens.screen import Screen
from vault.screens.work.form import WorkForm
from vault.screens.work.hands import WorkHands
from vault.screens.work.help import FormHelp
from vault.screens.work.questions import WorkQuestions
from vault.screens.work.recorded import Step
from vault.screens.work.sheet import Sheet, sheet_from
from vault.screens.work.shop_clock import ShopClock
from vault.screens.work.works_page import WorksPage

FORM = "work"
NEW = "new"
_RECIPES = later("vault.screens.work.recipes_dialog", "RecipesDialog")
_LOOK_FIRST = "Look at what is said in the middle and on the right first; press again to record it."
_BEGUN_BEFORE = "This was begun before; record it, or leave it and throw it away."
_CHARGE_FIRST = "Scan what goes in first, and weigh it: the recipe is scaled to its weight."


class WorkScreen(Screen):
    """Begins, keeps and records works."""

    has_own_bar = True

    def __init__(
        self,
        questions: WorkQuestions,
        background: Background,
        style: HouseStyle,
        hands: WorkHands,
    ) -> None:
        super().__init__()
        self._questions = questions
        self._background = background
        self._hands = hands
        self._clock = ShopClock()
        self._draft = hands.drafts.draft(FORM, self)
        self._ask_recent, self._ask_now = background.asker(self), background.asker(self)
        self._is_recording = self._has_missed_news = False
        # What was recorded is taken out of the form once the page stands in its place.
        self._emptying = QTimer(self, singleShot=True, interval=0)
        self._emptying.timeout.connect(self._forget_form)
        self._prints = True
        # Recording was wanted before what is shown held for what stands in the form.
        self._is_record_due = False
        self._warned: frozenset[str] = frozenset()
        # A recipe was chosen before the book answered what goes in.
        self._recipe_due: Recipe | None = None
        prints = hands.print_tags is not None
        self.page = WorksPage(style, prints=prints)
        self.form = WorkForm(style, hands.weights, self._clock, prints=prints)
        if hands.scale_box is not None:
            self.form.came_out.show_scale(hands.scale_box())
        self.help = FormHelp(self.form, questions, background, style, self)
        self._pages = QStackedWidget()
        self._pages.addWidget(self.page)
        self._pages.addWidget(self.form)
        column = QVBoxLayout(self)
        column.setContentsMargins(0, 0, 0, 0)
        column.addWidget(self._pages)
        self._connect()

    @property
    def is_filling_in(self) -> bool:
        """Whether the form is shown."""
        return self._pages.currentWidget() is self.form

    # --- what the window calls ------------------------------------------------------------------

    def show_book(self, book: object | None) -> None:
        """Show another book, and ask what was begun in it."""
        self._book = book
        self._is_recording = self._is_record_due = False
        self._emptying.stop()
        self.form.fill(Sheet())
        self.page.begun_card.hide()
        self.page.recorded.hide()
        self._show_page()
        self.help.of(book)
        self._draft.of(book)
        self.refresh()

    def refresh(self) -> None:
        """Ask for the works done lately, and for what the form shows, anew."""
        if self.book is None:
            self._ask_recent.forget()
            self.page.show_works(())
            return
        self._ask_recent.ask(partial(self._questions.recent, self.book), self._on_recent_answered)
        self._ask_now.ask(partial(self._questions.now, self.book), self._clock.set_to)
        # What is being recorded is about to leave the form.
        self._has_missed_news = self._is_recording
        if not self._is_recording:
            self.help.refresh()

    def choose(self, name: str) -> None:
        """Begin a work (`new`), or go on with the one that was begun; a tag goes into it."""
        self.go_on()
        if name and name != NEW:
            self.form.put_in(name)

    def work_on(self, process: Process, tags: Sequence[str]) -> None:
        """Begin a work with items; one that was begun before stays and is told of."""
        self._finish_emptying()
        if self.form.sheet().is_blank:
            self.begin(process.value, tags)
        else:
            self._go_on_instead()

    def scanned(self, text: str) -> bool:
        """Put what was scanned into the work, which is begun by that where none was."""
        if self.book is None:
            return False
        self.go_on()
        self.help.read(text)
        return True

    def leave(self) -> None:
        """Let go of everything, since the window closes."""
        self.help.forget()

    # --- beginning and leaving ------------------------------------------------------------------

    def begin(self, process: str = "", tags: Sequence[str] = ()) -> None:
        """Begin a work, with these items in it already."""
        self._finish_emptying()
        self.form.fill(Sheet())
        self.go_on()
        if process:
            self.form.choose_process(process)
        for tag in tags:
            self.form.put_in(tag)
        self.form.begin()

    def go_on(self) -> None:
        """Go on with what stands in the form."""
        self._finish_emptying()
        self.page.begun_card.hide()
        self.page.recorded.hide()
        self._pages.setCurrentWidget(self.form)
        self.help.attend(on=True)
        self.form.begin()

    def _connect(self) -> None:
        page, form = self.page, self.form
        page.begun.connect(self._on_page_begun)
        page.gone_on.connect(self.go_on)
        page.thrown_away.connect(self._on_page_thrown_away)
        page.entry_wanted.connect(self._on_page_entry_wanted)
        page.recorded.step_wanted.connect(self._on_step_wanted)
        page.recorded.print_wanted.connect(self._print)
        form.changed.connect(self._on_form_changed)
        form.left.connect(self._on_form_left)
        form.record_wanted.connect(self._on_record_wanted)
        form.unprinted_wanted.connect(self._on_unprinted_wanted)
        form.went_in.told.connect(self.told)
        form.went_in.recipe_chosen.connect(self._on_recipe_chosen)
        form.went_in.recipes_wanted.connect(self._on_recipes_wanted)
        self.help.told.connect(self.told)
        self.help.settled.connect(self._on_help_settled)
        self._draft.came_back.connect(self._on_draft_came_back)

    def _show_page(self) -> None:
        self.help.attend(on=False)
        self._pages.setCurrentWidget(self.page)

    def _on_recent_answered(self, works: Sequence[RecentWork]) -> None:
        self.page.show_works(works)

    def _on_page_begun(self, process: str) -> None:
        self._finish_emptying()
        if self.form.sheet().is_blank:
            self.begin(process)
        else:
            self._go_on_instead()

    def _go_on_instead(self) -> None:
        # Nothing that was begun is lost by beginning something else.
        self.go_on()
        self.told.emit(_BEGUN_BEFORE)

    def _on_page_thrown_away(self) -> None:
        self._forget_form()
        self.page.begun_card.hide()
        self.page.begin()

    def _on_page_entry_wanted(self, number: int) -> None:
        self.place_wanted.emit("daybook", str(number))

    def _on_step_wanted(self, step: Step) -> None:
        self.begin(step.process.value, step.tags)

    def _on_form_left(self) -> None:
        sheet = self.form.sheet()
        if sheet.is_blank:
            self._forget_form()
        else:
            self.page.begun_card.show_sheet(sheet, came_back=False)
        self._show_page()
        self.page.begin()

    def _on_draft_came_back(self, kept: KeptDraft) -> None:
        sheet = sheet_from(kept.content)
        if sheet.is_blank:
            return
        is_instead = not self.form.sheet().is_blank
        self.form.fill(sheet)
        self.help.refresh()
        self.page.begun_card.show_sheet(sheet, came_back=True)
        if is_instead:
            self.told.emit(_BEGUN_BEFORE)

    def _finish_emptying(self) -> None:
        if self._emptying.isActive():
            self._emptying.stop()
            self._forget_form()

    def _forget_form(self) -> None:
        self.form.fill(Sheet())
        self.help.let_tags_go()
        self._draft.drop()

    # --- recording ------------------------------------------------------------------------------

    def _on_form_changed(self) -> None:
        self._is_record_due = False
        sheet = self.form.sheet()
        if sheet.is_blank:
            self._draft.drop()
        else:
            self._draft.keep(sheet.content())
        if self._recipe_due is not None and self.form.went_in.is_told:
            self._on_recipe_chosen(self._recipe_due)

    def _on_record_wanted(self) -> None:
        self._prints = True
        self._record_or_wait()

    def _on_unprinted_wanted(self) -> None:
        self._prints = False
        self._record_or_wait()

    def _record_or_wait(self) -> None:
        if self._is_recording or self.book is None:
            return
        if not self.help.is_settled:
            self._is_record_due = True
            self._warned = self.help.warnings
        elif self.form.may_be_recorded:
            self._record()

    def _on_help_settled(self) -> None:
        if not self._is_record_due:
            return
        self._is_record_due = False
        if not self.form.may_be_recorded:
            return
        if self.help.warnings <= self._warned:
            self._record()
        else:
            # What nobody has seen yet is not recorded over.
            self.told.emit(_LOOK_FIRST)

    def _record(self) -> None:
        work, tags = self.form.work(), self.form.tags_made()
        self._is_recording, self._has_missed_news = True, False
        self.form.verdict.let(why_not="It is being recorded …")
        self._hands.recorder.record(
            lambda book: self._questions.record(book, work, self.form.key),
            partial(self._on_recorded, self.book, work, tags),
            partial(self._on_not_recorded, self.book),
            "Recording the work …",
        )

    def _on_recorded(
        self, book: object, work: WorkDraft, tags: Sequence[str], _changes: object
    ) -> None:
        self._is_recording = False
        if book is not self.book:
            return
        self._draft.drop()
        self.page.recorded.show_work(work, tags)
        self._show_page()
        self.page.begin()
        self._emptying.start()
        if self._prints:
            self._print(tags)

    def _on_not_recorded(self, book: object, error: BaseException) -> None:
        self._is_recording = False
        if book is not self.book:
            return
        self.form.verdict.let(why_not="")
        if self._has_missed_news:
            self.help.refresh()
        if is_trouble(error):
            self.form.verdict.let(why_not=sentence_of(error))
        else:
            self._background.failed.emit(error)

    def _print(self, tags: Sequence[str]) -> None:
        if self._hands.print_tags is not None and self.book is not None and tags:
            self._hands.print_tags(self.book, tags)

    # --- recipes --------------------------------------------------------------------------------

    def _on_recipe_chosen(self, recipe: Recipe) -> None:
        charge = self.form.went_in.charge()
        self._recipe_due = None if self.form.went_in.is_told else recipe
        if self._recipe_due is not None:
            return
        if charge is None:
            self.told.emit(_CHARGE_FIRST)
            self.form.begin()
            return
        self.form.add_scaled(self._questions.scaled(recipe, charge))

    def _on_recipes_wanted(self) -> None:
        dialog = _RECIPES(self.help.recipes, self)
        dialog.kept.connect(self._on_recipes_kept)
        dialog.open()

    def _on_recipes_kept(self, recipes: Sequence[Recipe]) -> None:
        self._hands.recorder.record(
            lambda book: self._questions.keep_recipes(book, recipes),
            lambda _changes: self.help.refresh(),
            self._background.failed.emit,
            "Keeping the recipes …",
        )
