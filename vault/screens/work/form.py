"""The form for one work: its parts side by side, filled in by keys, scanner and scale alone."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from datetime import datetime
from itertools import pairwise

from PySide6.QtCore import Qt, QTimer, Signal
from PySide6.QtGui import QKeyEvent, QKeySequence, QResizeEvent, QShortcut
from PySide6.QtWidgets import QBoxLayout, QHBoxLayout, QVBoxLayout, QWidget
from typing_extensions import override

from vault.application.operations.work_draft import WorkDraft
from vault.application.queries.answers.bench import ContainerBrief, ItemBrief, KnownNames
from vault.application.queries.answers.work import Side, WorkFinding, WorkPreview
from vault.application.recipes import Recipe
from vault.core.daybook import Process
from vault.core.masses import Mass
from vault.screens.house_style import HouseStyle
from vault.screens.look import GAP
from vault.screens.widgets.hand_area import HandArea
from vault.screens.work.came_out import CameOutCard
from vault.screens.work.drum_rows import DrumRow
from vault.screens.work.head import FormHead
from vault.screens.work.processes import Way, forms_made, left_behind, way_of
from vault.screens.work.rows import WeightFactory
from vault.screens.work.sheet import Sheet
from vault.screens.work.verdict import VerdictSide
from vault.screens.work.went_in import WentInCard

_WIDE = 760
_RIGHT_WIDTHS = (312, 396)
_RIGHT_SHARE = 0.31
_ROOM_AROUND = 70


class WorkForm(QWidget):
    """Everything that is said of one work; it asks nothing itself.

    Signals:
        changed: anything was changed by the reader.
        items_changed: other items go in; what they are is to be asked.
        left: the reader leaves without recording.
        record_wanted: the reader wants it recorded as it stands.
        unprinted_wanted: the same, without tags on paper.
    """

    changed = Signal()
    items_changed = Signal()
    left = Signal()
    record_wanted = Signal()
    unprinted_wanted = Signal()

    def __init__(
        self,
        style: HouseStyle,
        weights: WeightFactory,
        now: Callable[[], datetime],
        *,
        prints: bool,
        parent: QWidget | None = None,
    ) -> None:
        super().__init__(parent)
        self.head = FormHead()
        self.went_in = WentInCard(style, weights, now)
        self.came_out = CameOutCard(style, weights)
        self.verdict = VerdictSide(style, prints=prints)
        self._key = ""
        # While it is filled by the program nothing is proposed and nothing is told.
        self._is_filling = False
        # Each line takes a moment to be made; between two of them the window comes in.
        self._next_line = QTimer(self, singleShot=True, interval=0)
        self._next_line.timeout.connect(self._on_next_line)
        # What goes in beside the items is proposed once; a line that is taken out stays out.
        self._proposes_added = False
        self._lay_out()
        self._connect()
        self.fill(Sheet())

    # --- what stands in it ----------------------------------------------------------------------

    @property
    def key(self) -> str:
        """The key of the one action that records it."""
        return self._key

    @property
    def way(self) -> Way | None:
        """The process that is chosen, as it is offered."""
        return way_of(self.head.process)

    @property
    def tags_in(self) -> tuple[str, ...]:
        """The tags of the items that go in one by one."""
        rows = self.went_in.used.rows
        return tuple(row.tag for row in rows if not isinstance(row, DrumRow))

    @property
    def drums_in(self) -> tuple[DrumRow, ...]:
        """The lines of containers of which all goes in."""
        return tuple(row for row in self.went_in.used.rows if isinstance(row, DrumRow))

    def sheet(self) -> Sheet:
        """Give everything as it is typed."""
        went_in = self.went_in
        return Sheet(
            process=self.head.process,
            used=tuple(row.sheet() for row in went_in.used.rows),
            added=tuple(row.sheet() for row in went_in.added.rows),
            made=tuple(row.sheet() for row in self.came_out.made.rows),
            heat=went_in.heat.text,
            time=went_in.time.text,
            when=went_in.when.text,
            note=went_in.note.text,
            key=self._key,
        )

    def work(self) -> WorkDraft:
        """Give it as the draft of a work, as far as it is filled in."""
        went_in = self.went_in
        process = self.head.process
        return WorkDraft(
            process=Process(process) if process else None,
            used=tuple(row.thing() for row in went_in.used.rows),
            added=tuple(row.thing() for row in went_in.added.rows if row.counts),
            made=tuple(row.thing() for row in self.came_out.made.rows),
            furnace=went_in.furnace_words() if went_in.furnace.isVisibleTo(self) else "",
            note=went_in.note.text,
            when=went_in.when.when(),
        )

    def fill(self, sheet: Sheet) -> None:
        """Write a sheet into it in place of what stood there."""
        self._is_filling = True
        self._next_line.stop()
        self._proposes_added = False
        went_in, came_out = self.went_in, self.came_out
        went_in.used.clear()
        went_in.added.clear()
        came_out.clear()
        self.verdict.clear()
        self._key = sheet.key
        self.head.choose(sheet.process)
        went_in.offer_for(self.way)
        for used in sheet.used:
            if used.form:
                went_in.add_drum(used.tag, used.form)
            else:
                went_in.add_item(used.tag).fill(used)
        for added in sheet.added:
            went_in.add_thing(went_in.thing_named(added.name)).fill(added)
        for made in sheet.made:
            came_out.add(made.form).fill(made)
        for field, text in (
            (went_in.heat, sheet.heat),
            (went_in.time, sheet.time),
            (went_in.when, sheet.when),
            (went_in.note, sheet.note),
        ):
            field.write(text)
        went_in.items.empty()
        self._is_filling = False
        self._order_stops()

    def trouble(self) -> str:
        """Say what cannot be read in any field; empty where all can."""
        went_in = self.went_in
        parts = [row.part for row in went_in.used.rows if row.is_unfolded]
        parts += [row.rest for row in went_in.used.rows if row.is_unfolded]
        told = [one.trouble() for one in parts]
        told += [row.trouble() for row in went_in.added.rows]
        told += [row.trouble() for row in self.came_out.made.rows]
        told.append(went_in.when.trouble())
        return next((one for one in told if one), "")

    # --- what the program brings ----------------------------------------------------------------

    def know(self, known: KnownNames, recipes: Sequence[Recipe]) -> None:
        """Offer these names and recipes from now on."""
        self.went_in.know(known, recipes)
        self.came_out.know(known)
        self.went_in.offer_for(self.way)
        if any(row.is_only_proposed for row in self.went_in.added.rows):
            self._proposes_added = True
            self._next_line.start()

    def put_in(self, tag: str) -> None:
        """Put an item in by its tag, once; the hand stays at the scan field."""
        self.went_in.items.empty()
        if tag in self.tags_in:
            self.went_in.told.emit(f"{tag} goes in already.")
            return
        self.went_in.add_item(tag)
        self._tell_items_changed()

    def put_in_drum(self, place: str, form: str) -> None:
        """Put in all of a form that lies in a container, once."""
        self.went_in.items.empty()
        if (place, form) in [row.key for row in self.drums_in]:
            self.went_in.told.emit(f"{place} goes in already.")
            return
        self.went_in.add_drum(place, form)
        self._tell_items_changed()

    def show_briefs(
        self,
        briefs: Mapping[str, ItemBrief],
        drums: Mapping[str, Sequence[ContainerBrief]],
    ) -> None:
        """Show what the book says of what goes in: items by tag, containers by name."""
        for row in self.went_in.used.rows:
            if isinstance(row, DrumRow):
                row.show_held(drums.get(row.tag, ()))
            else:
                row.show_brief(briefs.get(row.tag))
        self._next_line.start()
        self._tell_changed()

    def forms_wanting_tags(self) -> tuple[str, ...]:
        """Give the form of every thing that wants a tag, in the order of `show_tags`."""
        made = [row.form.name() for row in self.came_out.made.rows if row.wants_tag]
        parts = [row.form for row in self.went_in.used.rows if row.is_unfolded and row.form]
        return (*made, *(form for form in parts for _ in range(2)))

    def show_tags(self, tags: Sequence[str]) -> None:
        """Show the tags proposed for `forms_wanting_tags`."""
        waiting = list(tags)
        made = [row for row in self.came_out.made.rows if row.wants_tag]
        parts = [row for row in self.went_in.used.rows if row.is_unfolded and row.form]
        if len(waiting) != len(made) + 2 * len(parts):
            return  # asked for a form that has changed since; the next answer is on its way
        for row in made:
            row.propose_tag(waiting.pop(0))
        for part in parts:
            part.show_part_tags(waiting.pop(0), waiting.pop(0))
        self.verdict.count_tags(len(self.tags_made()))

    def show_preview(self, preview: WorkPreview) -> None:
        """Show what the work would give."""
        self.verdict.show_preview(preview)

    def show_findings(self, preview: WorkPreview) -> None:
        """Show what helps with the work, and each finding at its line."""
        self.came_out.aids.show_aids(preview.aids)
        counted = [at for at, row in enumerate(self.went_in.added.rows) if row.counts]
        places = {at: place for place, at in enumerate(counted)}
        most = max(len(self.went_in.used.rows), len(self.came_out.made.rows))
        same = {at: at for at in range(most)}
        self.went_in.used.say(_by_line(preview.findings, Side.USED), same)
        self.went_in.added.say(_by_line(preview.findings, Side.ADDED), places)
        self.came_out.made.say(_by_line(preview.findings, Side.MADE), same)

    def let(self, *, why_not: str) -> None:
        """Let it be recorded, or say why that is impossible; the hand is led back to the lines."""
        button = self.verdict.record_button
        was_there = button.hasFocus()
        self.verdict.let(why_not=why_not)
        if why_not and was_there:
            self.came_out.go_in()

    def tags_made(self) -> tuple[str, ...]:
        """Give the tags of everything new: what comes out, and parts and rests."""
        made = [row.tag_shown for row in self.came_out.made.rows]
        parts = [tag for row in self.went_in.used.rows if row.is_unfolded for tag in row.part_tags]
        return tuple(tag for tag in (*made, *parts) if tag)

    @property
    def may_be_recorded(self) -> bool:
        """Whether nothing that is known stands against recording it."""
        return self.verdict.record_button.isEnabled()

    def choose_process(self, process: str) -> None:
        """Choose a process as its chip does."""
        self.head.choose(process)
        self._on_process_chosen()

    def add_scaled(self, things: Sequence[tuple[str, Mass]]) -> None:
        """Put in what a recipe asks for; lines of the same things that are there are filled in."""
        for name, weight in things:
            rows = self.went_in.added.rows
            row = next((one for one in rows if one.thing_name == name), None)
            if row is None:
                row = self.went_in.add_thing(self.went_in.thing_named(name))
            row.take_weight(weight)
        self.went_in.added.go_in()
        self._tell_changed()

    def begin(self) -> None:
        """Put the hand where the work begins."""
        self.went_in.items.setFocus()

    # --- within ---------------------------------------------------------------------------------

    def _lay_out(self) -> None:
        inside = QWidget()
        self._two = QBoxLayout(QBoxLayout.Direction.LeftToRight, inside)
        self._two.setContentsMargins(0, 0, 4, 0)
        self._two.setSpacing(GAP)
        self._two.addWidget(self.went_in, 1)
        self._two.addWidget(self.came_out, 1)
        self.area = HandArea(_ROOM_AROUND)
        self.area.setWidget(inside)
        inside.setAutoFillBackground(False)
        body = QHBoxLayout()
        body.setContentsMargins(GAP + 6, GAP, GAP + 6, GAP)
        body.setSpacing(GAP - 4)
        body.addWidget(self.area, 1)
        body.addWidget(self.verdict)
        column = QVBoxLayout(self)
        column.setContentsMargins(0, 0, 0, 0)
        column.setSpacing(0)
        column.addWidget(self.head)
        column.addLayout(body, 1)
        record = QShortcut(QKeySequence("Ctrl+Return"), self)
        record.setContext(Qt.ShortcutContext.WidgetWithChildrenShortcut)
        record.activated.connect(self.record_wanted)

    def _connect(self) -> None:
        self.head.left.connect(self.left)
        self.head.chosen.connect(self._on_process_chosen)
        self.went_in.changed.connect(self._on_went_in_changed)
        self.went_in.added_new.connect(self._on_added_new)
        self.went_in.items.left_empty.connect(self._on_items_left_empty)
        self.went_in.ended.connect(self._on_went_in_ended)
        self.came_out.changed.connect(self._tell_changed)
        self.came_out.ended.connect(self.verdict.record_button.setFocus)
        self.verdict.record_button.clicked.connect(self.record_wanted)
        self.verdict.unprinted_button.clicked.connect(self.unprinted_wanted)
        for rows in (self.went_in.used, self.went_in.added, self.came_out.made):
            rows.put_in.connect(self._order_stops)

    def _order_stops(self) -> None:
        """Let Tab go through the form as it stands; new lines would come last otherwise."""
        if self._is_filling or self._next_line.isActive():
            return  # with the last of the lines that are to come
        stops = [
            *self.went_in.stops(),
            *self.came_out.made.stops(),
            self.came_out.more_button,
            self.verdict.record_button,
            self.verdict.unprinted_button,
        ]
        for before, after in pairwise(stops):
            QWidget.setTabOrder(before, after)

    def _tell_changed(self) -> None:
        if not self._is_filling:
            self.verdict.count_tags(len(self.tags_made()))
            self.changed.emit()

    def _tell_items_changed(self) -> None:
        self.items_changed.emit()
        self._tell_changed()

    def _propose_next_made(self) -> bool:
        """Put in what mostly comes out, a line with each call; tell whether one was put in.

        What the reader wrote there already stays as it is.
        """
        way = self.way
        rows = self.came_out.made.rows
        if way is None or any(row.is_touched for row in rows):
            return False
        forms = forms_made(way, [row.form for row in self.went_in.used.rows if row.form])
        left = [left_behind(row.thing_name) for row in self.went_in.added.rows]
        more = [form for form in left if form][forms.count("spent cupel") :]
        wanted = (*forms, *more)
        there = tuple(row.form.name() for row in rows)
        if there == wanted:
            return False
        if there != wanted[: len(there)]:
            self.came_out.made.clear()
            there = ()
        if len(there) < len(wanted):
            self.came_out.add(wanted[len(there)])
        return True

    def _finish_lines(self) -> None:
        """Put in at once what is still to be proposed, since the hand goes there."""
        while self._next_line.isActive():
            self._on_next_line()

    def _on_process_chosen(self) -> None:
        self.went_in.offer_for(self.way)
        self._proposes_added = True
        self._next_line.start()
        self._tell_changed()
        self.went_in.items.setFocus()

    def _on_next_line(self) -> None:
        self._next_line.start()  # a line that is put in is not the last one
        if not self._put_in_next_line():
            self._next_line.stop()
            self._order_stops()
            self._tell_changed()
            return
        # Due only now: what waits since before would have to wait for the next one too.
        self._next_line.start()

    def _put_in_next_line(self) -> bool:
        self._proposes_added = self._proposes_added and self.went_in.propose_next(self.way)
        return self._proposes_added or self._propose_next_made()

    def _on_items_left_empty(self) -> None:
        self._finish_lines()
        if not self.went_in.added.go_in():
            self.came_out.go_in()

    def _on_went_in_ended(self) -> None:
        self._finish_lines()
        self.came_out.go_in()

    def _on_went_in_changed(self) -> None:
        if not self._is_filling:
            self._next_line.start()
        self._tell_changed()

    def _on_added_new(self, name: str) -> None:
        form = left_behind(name)
        if form and any(row.is_touched for row in self.came_out.made.rows):
            self.came_out.add(form)

    @override
    def keyPressEvent(self, event: QKeyEvent) -> None:
        # A field that has something to take back takes this key before it comes here.
        if event.key() == Qt.Key.Key_Escape:
            self.left.emit()
            return
        super().keyPressEvent(event)

    @override
    def resizeEvent(self, event: QResizeEvent) -> None:
        super().resizeEvent(event)
        least, most = _RIGHT_WIDTHS
        right = int(min(most, max(least, _RIGHT_SHARE * self.width())))
        self.verdict.setFixedWidth(right)
        is_wide = self.width() - right >= _WIDE
        self.head.title.setVisible(is_wide)
        ways = QBoxLayout.Direction
        self._two.setDirection(ways.LeftToRight if is_wide else ways.TopToBottom)


def _by_line(findings: Sequence[WorkFinding], side: Side) -> dict[int, list[WorkFinding]]:
    found: dict[int, list[WorkFinding]] = {}
    for one in findings:
        if one.side is side and one.line is not None:
            found.setdefault(one.line, []).append(one)
    return found
