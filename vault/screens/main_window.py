"""The window: the rail, the line above, the screens, and what stands between them."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from functools import partial
from pathlib import Path
from typing import TYPE_CHECKING

from PySide6.QtCore import QSize
from PySide6.QtGui import QAction, QCloseEvent
from PySide6.QtWidgets import (
    QApplication,
    QHBoxLayout,
    QMainWindow,
    QStackedWidget,
    QVBoxLayout,
    QWidget,
)
from typing_extensions import override

from vault.core.daybook import Process
from vault.screens.commands import BAR, MENU, NEEDS_A_BOOK, Commands
from vault.screens.copies import Copies
from vault.screens.doors import ReadIn
from vault.screens.forms.opener import FormOpener
from vault.screens.later import later
from vault.screens.look import look_named
from vault.screens.parts import Parts, Plan
from vault.screens.rail import Rail
from vault.screens.scanner import Scanner
from vault.screens.scans import Scans, nothing_called
from vault.screens.screen import Chosen, Screen
from vault.screens.settings.room import SettingsRoom
from vault.screens.slots import without_words
from vault.screens.start_page import StartPage
from vault.screens.style_sheet import palette, style_sheet
from vault.screens.top_bar import TopBar
from vault.screens.widgets.notices import Notice, WorkStrip
from vault.screens.words import PROGRAM

if TYPE_CHECKING:
    from vault.screens.forms.kit import FormKit
    from vault.screens.guide.guide import Guide

_SIZE = (1440, 900)
_LEAST_SIZE = (900, 600)
# Dialogs are seldom opened, and would be half of what the start has to load.
_DIALOGS = "vault.screens.dialogs"
_GUIDE = later("vault.screens.guide.guide", "guide_through")
_GUIDE_SEEN = "guide_seen"
_REPORT = later("vault.screens.report_dialog", "ReportDialog")
# Where a thing found by its name is shown.
_SCREEN_OF = {"item": "safe", "lot": "lots", "party": "safe"}


class MainWindow(QMainWindow):
    """Holds the screens and passes between them; knows nothing of books and figures."""

    def __init__(self, parts: Parts, plans: Sequence[Plan]) -> None:
        super().__init__()
        self._parts = parts
        self._plans = {plan.name: plan for plan in plans}
        self._screens: dict[str, Screen] = {}
        # Screens that are hidden ask anew when they are next shown, not each time.
        self._stale: set[str] = set()
        self._came_from: list[str] = []
        self._guide: Guide | None = None
        # Off while the program tries itself: nobody is there to be shown round.
        self.leads_newcomers = True
        self.commands = Commands(self)
        self.desk = parts.desk
        self.rail = Rail([(plan.name, plan.words) for plan in plans if plan.on_rail])
        self.top_bar = TopBar(self._menu(), [self.commands[name] for name in BAR])
        self.notice = Notice()
        self.work_strip = WorkStrip()
        self.start_page = StartPage(self.commands)
        self.stack = QStackedWidget()
        self._asker = parts.background.asker(self)
        self.forms = FormOpener(self._form_kit, self._chosen, self.commands, parts.announcer, self)
        self.copies = Copies(parts.doors, parts.background, parts.choosers, self.desk, self)
        self.settings = SettingsRoom(
            parts.choices, parts.background, parts.desk, parts.shop_settings, self, parts.style
        )
        self.scans = Scans(parts.doors.read_scan, parts.background, self._shown_place, self)
        self._lay_out()
        self._connect()
        self._dress()
        self._take_state_back()
        self._show_start_page()

    @property
    def shown(self) -> str:
        """The name of the screen that is shown; empty on the start page."""
        return next((name for name, one in self._screens.items() if self._is_shown(one)), "")

    @property
    def plan_names(self) -> tuple[str, ...]:
        """The names of all screens, those of the rail first, from the top."""
        return tuple(self._plans)

    def screen_named(self, name: str) -> Screen:
        """Give a screen of the rail, made if it was not yet."""
        if name not in self._screens:
            screen = self._plans[name].make(self.commands)
            screen.trace_wanted.connect(self.trace)
            screen.place_wanted.connect(self.go_to)
            screen.items_wanted.connect(self.show_items)
            screen.tags_wanted.connect(self._parts.papers.print_tags)
            screen.told.connect(partial(self.notice.tell, kind="the screen"))
            screen.write_out_wanted.connect(self.copies.write_out_this)
            screen.work_wanted.connect(self.work_on)
            self._screens[name] = screen
            self.stack.addWidget(screen)
            screen.show_book(self.desk.book)
        return self._screens[name]

    def go_to(self, name: str, choice: str = "") -> None:
        """Show a screen, and there the thing of a name."""
        if name not in self._plans or self.desk.book is None:
            return
        if self.shown and self.shown != name:
            self._came_from.append(self.shown)
        screen = self.screen_named(name)
        self.stack.setCurrentWidget(screen)
        self.rail.show_chosen(name)
        self.top_bar.setVisible(not screen.has_own_bar)
        if name in self._stale:
            self._stale.discard(name)
            screen.refresh()
        # What stands in the scan field holds for the screen that is shown.
        if choice:
            self.top_bar.clear()
        if not screen.has_own_bar:
            screen.set_filter(self.top_bar.text)
        if choice:
            screen.choose(choice)

    def begin(self, name: str) -> None:
        """Show a form, ready for what is to be recorded next; what is typed in it stays."""
        if name in self._plans and self.desk.book is not None:
            self.go_to(name)
            self.screen_named(name).choose("")

    def work_on(self, process: Process, tags: Sequence[str]) -> None:
        """Begin a work with items."""
        if "work" in self._plans and self.desk.book is not None:
            self.go_to("work")
            self.screen_named("work").work_on(process, tags)

    def trace(self, tag: str, lot: str) -> None:
        """Show where an item's metal came from, or where a lot's went."""
        self.go_to("trace", f"lot {lot}" if lot else f"item {tag}")

    def show_items(self, text: str) -> None:
        """Show the items of the Safe that match a text, as if it had been typed."""
        self.top_bar.write(text)
        self.go_to("safe")

    def listen_to(self, scanner: Scanner) -> None:
        """Take what a hand scanner sends, whatever has the focus."""
        scanner.scanned.connect(self.scans.take)
        scanner.broke_off.connect(self.scans.take_broken_off)

    def _form_kit(self) -> FormKit | None:
        book = self.desk.book
        return None if book is None else self._parts.form_kit(self._parts, book)

    def _chosen(self) -> Chosen:
        screen = self._screens.get(self.shown)
        return Chosen() if screen is None else screen.chosen_things()

    def _shown_place(self) -> tuple[object | None, Screen | None]:
        return self.desk.book, self._screens.get(self.shown)

    def _menu(self) -> list[QAction | None]:
        told: list[QAction | None] = []
        for group in MENU:
            told += [self.commands[name] for name in group]
            told.append(None)
        return told[:-1]

    def _lay_out(self) -> None:
        self.setWindowTitle(PROGRAM)
        self.setMinimumSize(*_LEAST_SIZE)
        self.stack.addWidget(self.start_page)
        column = QVBoxLayout()
        column.setContentsMargins(0, 0, 0, 0)
        column.setSpacing(0)
        column.addWidget(self.top_bar)
        column.addWidget(self.notice)
        column.addWidget(self.work_strip)
        column.addWidget(self.stack, 1)
        body = QWidget()
        body.setObjectName("paper")
        row = QHBoxLayout(body)
        row.setContentsMargins(0, 0, 0, 0)
        row.setSpacing(0)
        row.addWidget(self.rail)
        row.addLayout(column, 1)
        self.setCentralWidget(body)

    def _connect(self) -> None:
        parts = self._parts
        parts.background.failed.connect(parts.failures.take)
        parts.background.started.connect(self.work_strip.follow)
        parts.failures.told.connect(self.notice.tell)
        parts.drafts.told.connect(self.notice.tell)
        parts.scales.told.connect(self.notice.tell)
        parts.scales.attach(self, self.commands, self.desk)
        parts.failures.reported.connect(self._on_failure_reported)
        parts.announcer.changed.connect(self._on_announcer_changed)
        parts.style.changed.connect(self._dress)
        self.desk.laid_open.connect(self._on_desk_laid_open)
        self.desk.read_in.connect(self._on_desk_read_in)
        self.start_page.recent_chosen.connect(self.desk.open)
        self.rail.chosen.connect(self.go_to)
        self.top_bar.typed.connect(self._on_top_bar_typed)
        self.top_bar.entered.connect(self._on_top_bar_entered)
        self.top_bar.left_down.connect(self._on_top_bar_left_down)
        self.top_bar.found.connect(self._go_to_found)
        self.forms.told.connect(partial(self.notice.tell_good, kind="recorded"))
        self.forms.missed.connect(partial(self.notice.tell, kind="missed"))
        self.forms.entry_wanted.connect(partial(self.go_to, "daybook"))
        self.copies.told.connect(partial(self.notice.tell_good, kind="copied"))
        self.settings.accepted.connect(self._on_settings_accepted)
        parts.papers.told.connect(partial(self.notice.tell_good, kind="printed"))
        self.scans.told.connect(partial(self.notice.tell, kind="scanned"))
        self.scans.sought.connect(self._on_top_bar_entered)
        self.copies.warned.connect(self.notice.tell)
        wanted: dict[str, Callable[[], object]] = {
            "open": self._choose_book,
            "new": self._choose_new_book,
            "demonstration": self.desk.demonstrate,
            "import": self._choose_daybook,
            "write_out": self.copies.write_out,
            "back_up": self.copies.back_up,
            "receive": partial(self.begin, "receive"),
            "check": self.copies.check,
            "work_out": self.desk.work_out,
            "work": partial(self.begin, "work"),
            "terms": partial(self.begin, "terms"),
            "shipments": partial(self.begin, "shipments"),
            "find": self._go_to_scan_field,
            "start": self.desk.put_away,
            "menu": self.top_bar.menu_button.showMenu,
            "back": self._go_back,
            "settings": lambda: self.settings.show(self.desk.book),
            "guide": self._show_round,
            "keys": partial(self._show_dialog, "KeysDialog"),
            "cautions": partial(self._show_dialog, "CautionsDialog"),
            "about": partial(self._show_dialog, "AboutDialog"),
            "quit": self.close,
        }
        for name, done in wanted.items():
            self.commands[name].triggered.connect(without_words(done))

    def _dress(self) -> None:
        """Put the look in use on everything."""
        application = QApplication.instance()
        if isinstance(application, QApplication):
            application.setPalette(palette(self._parts.style.look))
            application.setStyleSheet(style_sheet(self._parts.style.look))

    def _take_state_back(self) -> None:
        room = self.screen().availableGeometry().size()
        self.resize(QSize(*_SIZE).boundedTo(room))
        self.restoreGeometry(self._parts.choices.state("window"))

    def _show_start_page(self) -> None:
        self.start_page.show_recent(self._parts.choices.recent)
        self.stack.setCurrentWidget(self.start_page)
        self.rail.show_chosen("")
        self.rail.offer(on=False)
        self.rail.say("", ())
        self.top_bar.offer_field(on=False)
        for name in NEEDS_A_BOOK:
            self.commands[name].setEnabled(False)
        self.top_bar.show()
        self.setWindowTitle(PROGRAM)
        self.start_page.setFocus()

    def _is_shown(self, screen: Screen) -> bool:
        return self.stack.currentWidget() is screen

    # --- what the reader asks for ---------------------------------------------------------------

    def _choose_book(self) -> None:
        path = self._parts.choosers.book_to_open(self, self._folder())
        if path is not None:
            self.desk.open(path)

    def _choose_new_book(self) -> None:
        path = self._parts.choosers.book_to_make(self, self._folder())
        if path is not None:
            self.desk.make(path)

    def _choose_daybook(self) -> None:
        path = self._parts.choosers.daybook_to_read(self, self._folder())
        if path is not None:
            self.desk.read(path)

    def _folder(self) -> Path:
        recent = self._parts.choices.recent
        return recent[0].parent if recent else Path.home()

    def _go_to_scan_field(self) -> None:
        self.top_bar.field.setFocus()
        self.top_bar.field.selectAll()

    def _go_back(self) -> None:
        if self._came_from:
            kept = self._came_from[:-1]
            self.go_to(self._came_from[-1])
            self._came_from = kept

    def _show_round(self) -> None:
        self.go_to(next(iter(self._plans)))
        if self._guide is None:
            self._guide = _GUIDE(self, self._parts.style)
            self._guide.ended.connect(self._on_guide_ended)

    def _show_dialog(self, name: str) -> None:
        later(_DIALOGS, name)(self).open()

    def _go_to_found(self, kind: str, name: str) -> None:
        if kind == "party":
            self.show_items(name)
            return
        self.go_to(_SCREEN_OF.get(kind, "safe"), name)

    # --- what is told ---------------------------------------------------------------------------

    def _on_guide_ended(self) -> None:
        self._guide = None
        self._parts.choices.remember_flag(_GUIDE_SEEN, on=True)
        self._go_to_scan_field()

    def _on_desk_laid_open(self, book: object | None, path: Path | None) -> None:
        self._stale.clear()
        self._came_from.clear()
        self.forms.forget()
        for screen in self._screens.values():
            screen.show_book(book)
        self._parts.scales.show_book(book)
        if book is None or path is None:
            self._show_start_page()
        else:
            self._show_book(book, path)

    def _show_book(self, book: object, path: Path) -> None:
        self._parts.choices.remember_recent(path)
        self.rail.offer(on=True)
        self.top_bar.offer_field(on=True)
        self.top_bar.clear()
        for name in NEEDS_A_BOOK:
            self.commands[name].setEnabled(True)
        self._say_whose()
        limits = self._parts.doors.limits(book)
        if limits:
            self.notice.tell(limits)
        self.go_to(next(iter(self._plans)))
        self._go_to_scan_field()
        is_new = self.leads_newcomers and not self._parts.choices.flag(_GUIDE_SEEN)
        if self.desk.is_demonstration and is_new:
            self._show_round()

    def _on_desk_read_in(self, outcome: ReadIn) -> None:
        if outcome.faults:
            later(_DIALOGS, "FaultsDialog")(outcome.faults, self).open()

    def _on_announcer_changed(self) -> None:
        self._refresh()

    def _refresh(self) -> None:
        self._stale = set(self._screens) - {self.shown}
        if self.shown:
            self._screens[self.shown].refresh()
        self._say_whose()

    def _on_settings_accepted(self) -> None:
        choices = self._parts.choices
        self._parts.style.choose(look_named(choices.look_name), choices.numbers)
        self._refresh()

    def _on_top_bar_typed(self, text: str) -> None:
        screen = self._screens.get(self.shown)
        if screen is not None:
            screen.set_filter(text)

    def _on_top_bar_entered(self, text: str) -> None:
        book = self.desk.book
        if book is not None:
            self._asker.ask(
                partial(self._parts.doors.find, book, text), partial(self._on_find_answered, text)
            )

    def _on_find_answered(self, text: str, hits: Sequence[tuple[str, str]]) -> None:
        if not hits:
            self.notice.tell(nothing_called(text), kind="scanned")
        elif len(hits) == 1:
            self._go_to_found(*hits[0])
        else:
            self.top_bar.offer(hits)

    def _on_top_bar_left_down(self) -> None:
        screen = self._screens.get(self.shown)
        if screen is not None:
            screen.setFocus()

    def _on_failure_reported(self, report: str) -> None:
        _REPORT(report, self).open()

    def _say_whose(self) -> None:
        book = self.desk.book
        if book is not None:
            shop = self._parts.doors.shop_name(book)
            self.rail.say(shop, [f"working as: {self._parts.choices.working_as}"])
            self.setWindowTitle(f"{shop} · {PROGRAM}")

    @override
    def closeEvent(self, event: QCloseEvent) -> None:
        # Out of sight at once; what is under way may take a moment to come to its next step.
        self._parts.choices.remember_state("window", self.saveGeometry())
        self.hide()
        for screen in self._screens.values():
            screen.leave()
        self._parts.choices.save()
        self._parts.background.close()
        self._parts.drafts.close()
        self._parts.scales.close()
        self.desk.clear()
        super().closeEvent(event)
