"""The left of the form: what went in, what was added, the furnace, a note and the time."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from datetime import datetime
from functools import partial

from PySide6.QtCore import Signal
from PySide6.QtWidgets import QHBoxLayout, QPushButton, QWidget

from vault.application.queries.answers.bench import KnownNames, KnownThing
from vault.application.recipes import Recipe
from vault.core.masses import Mass, total
from vault.screens.house_style import HouseStyle
from vault.screens.look import Size
from vault.screens.slots import without_words
from vault.screens.widgets.cards import Card
from vault.screens.widgets.day_fields import WhenField
from vault.screens.widgets.fields import Captioned, Field
from vault.screens.widgets.item_field import ItemField
from vault.screens.widgets.labels import label
from vault.screens.widgets.layouts import FlowLayout, empty
from vault.screens.work.added_rows import AddedRow
from vault.screens.work.drum_rows import DrumRow
from vault.screens.work.processes import FIRST_ADDED, Way
from vault.screens.work.row_list import RowList
from vault.screens.work.rows import WeightFactory
from vault.screens.work.used_rows import UsedRow

_MOST_OFFERED = 6


class WentInCard(Card):
    """What went in.

    Signals:
        changed: anything in it was changed by the reader.
        ended: the hand goes on to what came out.
        told: a sentence for the reader.
        added_new: a thing was added of which a new one may leave something behind; its name.
        recipes_wanted: the reader wants to see and change the recipes.
        recipe_chosen: a `Recipe` whose things are to be put in, scaled to the charge.
    """

    changed = Signal()
    ended = Signal()
    told = Signal(str)
    added_new = Signal(str)
    recipes_wanted = Signal()
    recipe_chosen = Signal(object)

    def __init__(
        self, style: HouseStyle, weights: WeightFactory, now: Callable[[], datetime]
    ) -> None:
        super().__init__()
        self._style = style
        self._weights = weights
        self._known = KnownNames()
        self._recipes: Sequence[Recipe] = ()
        self._named: tuple[object, ...] = ()
        self.items = ItemField("scan or type a tag", "Scan a tag, or type to search (↓ shows all)")
        self.used: RowList[UsedRow] = RowList()
        self.added: RowList[AddedRow] = RowList()
        self.offers = QWidget()
        self._offers = FlowLayout(self.offers)
        self.heat = Field("heat of the furnace", "965 °C")
        self.time = Field("time in the furnace", "1 h 25 min")
        self.when = WhenField(now)
        self.note = Field("note", "anything worth knowing later")
        self.furnace = QWidget()
        self._lay_out()
        self._connect()

    # --- what stands in it ----------------------------------------------------------------------

    def add_item(self, tag: str) -> UsedRow:
        """Put an item in."""
        return self.used.add(UsedRow(tag, self._style, self._weights))

    def add_drum(self, place: str, form: str) -> DrumRow:
        """Put in all of a form that lies in a container."""
        row = DrumRow(place, form, self._style, self._weights)
        self.used.add(row)
        return row

    def add_thing(self, thing: KnownThing, *, is_proposed: bool = False) -> AddedRow:
        """Put a line in for a thing that is added."""
        row = AddedRow(self._style, self._weights, self._names())
        row.show_thing(thing, is_proposed=is_proposed)
        return self.added.add(row)

    @property
    def is_told(self) -> bool:
        """Whether the book has answered what all these items are."""
        return all(row.is_told for row in self.used.rows)

    def charge(self) -> Mass | None:
        """Give the weight of the items that go in; None where one of them was not weighed."""
        weights: list[Mass] = []
        for row in self.used.rows:
            gross = None if row.brief is None else row.brief.gross_ug
            weight = row.part.mass() if row.is_unfolded else None if gross is None else Mass(gross)
            if weight is None:
                return None
            weights.append(weight)
        return total(weights) if weights else None

    def furnace_words(self) -> str:
        """Give heat and time in words; a bare number has its unit."""
        heat, time = self.heat.text, self.time.text
        heat = f"{heat} °C" if heat.isdigit() else heat
        time = f"{time} min" if time.isdigit() else time
        return ", ".join(one for one in (heat, time) if one)

    def thing_named(self, name: str) -> KnownThing:
        """Give what is known of a thing; only its name where it was never added."""
        return next((one for one in self._known.added if one.name == name), KnownThing(name))

    # --- what is offered ------------------------------------------------------------------------

    def know(self, known: KnownNames, recipes: Sequence[Recipe]) -> None:
        """Offer these names and recipes from now on."""
        self._known, self._recipes = known, recipes
        for row in self.added.rows:
            row.field.offer(self._names())

    def offer_for(self, way: Way | None) -> None:
        """Offer what is mostly added in a process."""
        self.furnace.setVisible(way is None or way.is_hot)
        has_recipes = way is not None and way.has_recipes
        recipes = [one for one in self._recipes if way is not None and one.process is way.process]
        named = (*recipes, *self.names_for(way)[:_MOST_OFFERED], has_recipes)
        if named == self._named:
            return
        self._named = named
        in_hand = next((one.text() for one in self._offered() if one.hasFocus()), "")
        empty(self._offers)
        for recipe in recipes:
            tip = "Puts these in, scaled to what went in"
            self._offer(recipe.name, tip, partial(self.recipe_chosen.emit, recipe))
        for name in self.names_for(way)[:_MOST_OFFERED]:
            tip = f"{name[:1].upper()}{name[1:]} was added"
            self._offer(f"+ {name}", tip, partial(self._on_offer_clicked, name))
        self._offer("+ something", "Anything else was added", partial(self._on_offer_clicked, ""))
        if has_recipes:
            self._offer("recipes …", "See and change the flux recipes", self.recipes_wanted.emit)
        for button in self._offered():
            if button.text() == in_hand:
                button.setFocus()

    def names_for(self, way: Way | None) -> list[str]:
        """Give names of what is mostly added in a process, what is used most first."""
        found: list[str] = []
        for begin in () if way is None else way.adds:
            own = [one.name for one in self._known.added if one.name.startswith(begin)]
            found += own or [name for name in FIRST_ADDED if name.startswith(begin)]
        return list(dict.fromkeys(found))

    def propose_next(self, way: Way | None) -> bool:
        """Put an empty line in for what a process hardly does without, in place of those before.

        A line takes a moment to be made, and so it is one with each call.

        Returns:
            Whether one was put in; more may be lacking.
        """
        names, wanted = self._names(), {}
        for begin in () if way is None else way.proposes:
            name = next((one for one in names if one.startswith(begin)), begin)
            wanted[begin] = self.thing_named(name)
        for row in self.added.rows:
            # A line made anew costs the window time; one that would be the same stays.
            if row.is_only_proposed and row.proposed not in wanted.values():
                self.added.remove(row)
        for begin, thing in wanted.items():
            if not any(row.thing_name.startswith(begin) for row in self.added.rows):
                self.add_thing(thing, is_proposed=True)
                return True
        return False

    def stops(self) -> list[QWidget]:
        """Give what Tab comes to, in order."""
        fields = (self.heat, self.time, self.when, self.note)
        return [
            self.items.line,
            *self.used.stops(),
            *self.added.stops(),
            *self._offered(),
            *(field.line for field in fields),
        ]

    # --- within ---------------------------------------------------------------------------------

    def _names(self) -> list[str]:
        return list(dict.fromkeys([one.name for one in self._known.added] + list(FIRST_ADDED)))

    def _lay_out(self) -> None:
        self.column.setSpacing(6)
        self.column.addWidget(label("Went in", size=Size.TITLE, bold=True))
        self.column.addWidget(self.items)
        self.column.addWidget(self.used)
        self.column.addWidget(self.added)
        self.column.addWidget(self.offers)
        row = QHBoxLayout(self.furnace)
        row.setContentsMargins(0, 0, 0, 0)
        row.setSpacing(8)
        row.addWidget(Captioned("furnace", self.heat), 1)
        row.addWidget(Captioned("for", self.time), 1)
        last = QHBoxLayout()
        last.setSpacing(8)
        last.addWidget(self.furnace, 2)
        last.addWidget(Captioned("when", self.when), 1)
        self.column.addLayout(last)
        self.column.addWidget(Captioned("note", self.note))
        self.column.addStretch(1)

    def _connect(self) -> None:
        for rows in (self.used, self.added):
            rows.changed.connect(self.changed)
        self.used.ended.connect(self.items.setFocus)
        self.added.ended.connect(self.ended)
        for field in (self.heat, self.time, self.when, self.note):
            field.edited.connect(self.changed)
        self.heat.taken.connect(self.time.setFocus)
        self.time.taken.connect(self.note.setFocus)
        self.note.taken.connect(self.ended)
        self.when.taken.connect(self.ended)

    def _offered(self) -> list[QPushButton]:
        parts = [self._offers.itemAt(at) for at in range(self._offers.count())]
        widgets = [part.widget() for part in parts if part is not None]
        return [one for one in widgets if isinstance(one, QPushButton)]

    def _offer(self, words: str, tip: str, done: Callable[[], None]) -> None:
        button = QPushButton(words)
        button.setProperty("kind", "answer")
        button.setToolTip(tip)
        button.setAutoDefault(True)
        button.clicked.connect(without_words(done))
        self._offers.addWidget(button)
        button.setVisible(True)

    def _on_offer_clicked(self, name: str) -> None:
        row = self.add_thing(self.thing_named(name))
        row.go_in()
        if name:
            self.added_new.emit(name)
        self.changed.emit()
