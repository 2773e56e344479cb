"""What the form asks while it is filled in, so that the window never waits and nothing is stale."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from functools import partial

from PySide6.QtCore import QObject, QTimer, Signal

from vault.application.queries.answers.bench import ContainerBrief, ItemBrief, KnownNames
from vault.application.queries.answers.work import Gravity, WorkPreview
from vault.application.recipes import Recipe
from vault.core.tags import Scan
from vault.screens.background import Background
from vault.screens.failures import is_trouble, sentence_of
from vault.screens.house_style import HouseStyle
from vault.screens.scans import nothing_called
from vault.screens.work.drum_rows import offered_drum_words
from vault.screens.work.form import WorkForm
from vault.screens.work.questions import WorkQuestions
from vault.screens.work.used_rows import offered_words
from vault.screens.work.verdict import why_not

OWNER = "work"
_PAUSE_MS = 150
# Between the name of a container and a form in it; no name holds a line's end.
_OF = "\n"
_Briefs = tuple[Mapping[str, ItemBrief], Mapping[str, Sequence[ContainerBrief]]]


class FormHelp(QObject):
    """Asks the book for one form: items, names, tags, and what the work would give.

    Of previews one at a time is under way; what is typed meanwhile waits, and only its last state
    is asked next. So a slow answer neither comes over a newer one nor do questions pile up.

    Signals:
        told: a sentence for the reader.
        settled: what is shown holds for what stands in the form.
    """

    told = Signal(str)
    settled = Signal()

    def __init__(
        self,
        form: WorkForm,
        questions: WorkQuestions,
        background: Background,
        style: HouseStyle,
        parent: QObject,
    ) -> None:
        super().__init__(parent)
        self._form = form
        self._questions = questions
        self._background = background
        self._style = style
        self._book: object | None = None
        self._asked_forms: tuple[str, ...] = ()
        self._is_attending = False
        # Names of a book that was just opened are asked before anybody looks.
        self._is_new = True
        self._is_under_way = False
        self._is_due = False
        self._preview: WorkPreview | None = None
        self._ask_names, self._ask_recipes = background.asker(self), background.asker(self)
        self._ask_briefs, self._ask_tags = background.asker(self), background.asker(self)
        self._ask_pick, self._ask_scan = background.asker(self), background.asker(self)
        self._recipes: Sequence[Recipe] = ()
        self._known = KnownNames()
        self._pause = QTimer(self)
        self._pause.setSingleShot(True)
        self._pause.setInterval(_PAUSE_MS)
        self._pause.timeout.connect(self._on_pause_over)
        # The balance and what is said at the lines are shown one after the other; both together
        # would hold the window.
        self._rest = QTimer(self, singleShot=True, interval=0)
        self._rest.timeout.connect(self._on_rest)
        form.changed.connect(self._on_form_changed)
        form.items_changed.connect(self.ask_for_briefs)
        form.went_in.items.wanted.connect(self._on_items_wanted)
        form.went_in.items.entered.connect(self.read)
        form.went_in.items.picked.connect(self._on_items_picked)

    @property
    def is_settled(self) -> bool:
        """Whether what is shown holds for what stands in the form."""
        return not (self._is_due or self._is_under_way or self._rest.isActive())

    @property
    def preview(self) -> WorkPreview | None:
        """What the work would give, as it was last told."""
        return self._preview

    @property
    def recipes(self) -> Sequence[Recipe]:
        """The flux recipes of the shop."""
        return self._recipes

    @property
    def warnings(self) -> frozenset[str]:
        """What is worth a look before the work is recorded."""
        findings = () if self._preview is None else self._preview.findings
        return frozenset(one.sentence for one in findings if one.gravity is Gravity.WARNS)

    def of(self, book: object | None) -> None:
        """Ask another book from now on."""
        self.forget()
        self._book = book
        self._is_new = True
        self.refresh()

    def attend(self, *, on: bool) -> None:
        """Ask while the form is looked at, and leave off while it is not."""
        if on and not self._is_attending:
            self._is_attending = True
            self.refresh()
        elif not on:
            self._is_attending = False
            self._pause.stop()
            self._rest.stop()
            self._is_due = False

    def refresh(self) -> None:
        """Ask everything anew, since something changed in the book; while nobody looks, later."""
        book = self._book
        if book is None or not (self._is_attending or self._is_new):
            return
        self._is_new = False
        self._ask_names.ask(partial(self._questions.names, book), self._on_names_answered)
        self._ask_recipes.ask(partial(self._questions.recipes, book), self._on_recipes_answered)
        if self._is_attending:
            self._asked_forms = ()
            self.ask_for_briefs()
            self._on_form_changed()

    def ask_for_briefs(self) -> None:
        """Ask what the items are that go in."""
        tags, drums = self._form.tags_in, [row.tag for row in self._form.drums_in]
        if self._book is not None and (tags or drums):
            self._ask_briefs.ask(
                partial(_briefs, self._questions, self._book, tags, drums),
                self._on_briefs_answered,
            )

    def let_tags_go(self) -> None:
        """Free the tags that were proposed, since the form was left or recorded."""
        self._asked_forms = ()
        book = self._book
        if book is not None:
            self._background.ask(
                partial(self._questions.let_tags_go, book, OWNER), lambda _nothing: None
            )

    def read(self, text: str) -> None:
        """Put in what a scanned or typed text names: an item by its tag, or a container."""
        if self._book is not None:
            self._ask_scan.ask(
                partial(_scanned, self._questions, self._book, text), self._on_scan_answered
            )

    def forget(self) -> None:
        """Want no answer any more."""
        self._pause.stop()
        self._rest.stop()
        self._is_due = False
        self._preview = None
        for asker in (
            self._ask_names,
            self._ask_recipes,
            self._ask_briefs,
            self._ask_tags,
            self._ask_pick,
            self._ask_scan,
        ):
            asker.forget()

    # --- what is typed --------------------------------------------------------------------------

    def _on_form_changed(self) -> None:
        if self._book is None or not self._is_attending:
            return
        self._is_due = True
        self._ask_for_tags()
        self._tell_whether()
        self._pause.start()

    def _on_items_wanted(self, text: str) -> None:
        if self._book is not None:
            self._ask_pick.ask(
                partial(_to_pick, self._questions, self._book, text), self._on_pick_answered
            )

    def _on_items_picked(self, name: str) -> None:
        place, _, form = name.partition(_OF)
        if form:
            self._form.put_in_drum(place, form)
        else:
            self._form.put_in(name)

    def _ask_for_tags(self) -> None:
        forms = self._form.forms_wanting_tags()
        if self._book is not None and forms and forms != self._asked_forms:
            self._asked_forms = forms
            self._ask_tags.ask(
                partial(self._questions.tags, self._book, OWNER, forms), self._on_tags_answered
            )

    def _on_pause_over(self) -> None:
        if not self._is_under_way:
            self._ask_for_preview()

    def _ask_for_preview(self) -> None:
        book, self._is_due = self._book, False
        if book is None or not self._is_attending:
            return
        self._is_under_way = True
        if self._form.tags_in and self._form.verdict.balance.is_empty:
            self._form.verdict.balance.say("Its balance is being worked out …")
        self._background.ask(
            partial(self._questions.preview, book, self._form.work(), self._style.numbers),
            partial(self._on_preview_answered, book),
            partial(self._on_preview_failed, book),
        )

    # --- answers --------------------------------------------------------------------------------

    def _on_names_answered(self, known: KnownNames) -> None:
        # Most of what changes in a book changes no name; and lines anew cost the window time.
        if known != self._known:
            self._known = known
            self._form.know(known, self._recipes)

    def _on_recipes_answered(self, recipes: Sequence[Recipe]) -> None:
        if tuple(recipes) != tuple(self._recipes):
            self._recipes = recipes
            self._form.know(self._known, recipes)

    def _on_briefs_answered(self, found: _Briefs) -> None:
        self._form.show_briefs(*found)

    def _on_pick_answered(
        self, found: tuple[Sequence[ContainerBrief], Sequence[ItemBrief]]
    ) -> None:
        drums, items = found
        here = self._form.tags_in
        numbers = self._style.numbers
        offered = [(one.tag, offered_words(one, numbers)) for one in items if one.tag not in here]
        self._form.went_in.items.offer([*self._offered_drums(drums), *offered])

    def _offered_drums(self, drums: Sequence[ContainerBrief]) -> list[tuple[str, str]]:
        numbers = self._style.numbers
        return [
            (f"{one.brief.tag}{_OF}{one.brief.form}", offered_drum_words(one, numbers))
            for one in drums
        ]

    def _on_scan_answered(self, found: tuple[Scan, Sequence[ContainerBrief]]) -> None:
        scan, drums = found
        if len(drums) == 1:
            self._form.put_in_drum(drums[0].brief.tag, drums[0].brief.form)
        elif drums:
            # Of a container that holds several forms it is asked which goes in.
            self._form.went_in.items.offer(self._offered_drums(drums))
        elif scan.tag:
            self._form.put_in(scan.tag)
        else:
            self.told.emit(nothing_called(scan.text))
            self._form.went_in.items.line.selectAll()

    def _on_tags_answered(self, tags: Sequence[str]) -> None:
        self._form.show_tags(tags)
        # The tags are part of what is previewed.
        self._is_due = True
        self._pause.start()

    def _on_preview_answered(self, book: object, preview: WorkPreview) -> None:
        self._is_under_way = False
        if book is not self._book:
            return
        if self._is_due:
            if not self._pause.isActive():
                self._ask_for_preview()
            return
        self._preview = preview
        self._form.show_preview(preview)
        self._rest.start()

    def _on_rest(self) -> None:
        if self._preview is None or self._is_due:
            return  # another is on its way
        self._form.show_findings(self._preview)
        self._tell_whether()
        self.settled.emit()

    def _on_preview_failed(self, book: object, error: BaseException) -> None:
        self._is_under_way = False
        if book is not self._book:
            return
        self._preview = None
        if is_trouble(error):
            self._form.verdict.balance.say(sentence_of(error))
        else:
            self._form.verdict.balance.say("The balance cannot be worked out just now.")
            self._background.failed.emit(error)
        self._tell_whether()
        self.settled.emit()

    def _tell_whether(self) -> None:
        """Let the work be recorded, or say why that is impossible."""
        trouble = self._form.trouble()
        if not trouble and self.is_settled and self._preview is not None:
            trouble = why_not(self._preview)
        self._form.let(why_not=trouble)


def _briefs(
    questions: WorkQuestions, book: object, tags: Sequence[str], drums: Sequence[str]
) -> _Briefs:
    """Ask what goes in, items and containers together."""
    return questions.briefs(book, tags), {one: questions.containers(book, one) for one in drums}


def _to_pick(
    questions: WorkQuestions, book: object, text: str
) -> tuple[Sequence[ContainerBrief], Sequence[ItemBrief]]:
    """Ask what a text could mean, containers first."""
    return questions.containers_like(book, text), questions.pick(book, text)


def _scanned(
    questions: WorkQuestions, book: object, text: str
) -> tuple[Scan, Sequence[ContainerBrief]]:
    """Ask what a text says: an item by its tag, or a container by its name."""
    scan = questions.read_scan(book, text)
    return scan, questions.containers(book, scan.tag or text.strip())
