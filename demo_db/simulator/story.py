"""Two years of the shop: who comes when, and what the shop does on its own account."""

from __future__ import annotations

from collections.abc import Callable
from datetime import date, timedelta

from demo_db.simulator import campaigns, counts, mistakes
from demo_db.simulator.customers import CUSTOMERS, Customer, bags_of
from demo_db.simulator.days import FIRST_DAY, LAST_DAY, Calendar, Clock, Story
from demo_db.simulator.dice import Dice
from demo_db.simulator.floor import Floor
from demo_db.simulator.lots import Lot, work_up
from demo_db.simulator.notebook import Notebook
from demo_db.simulator.paper import Bag, Owner, move_container, price, receive
from demo_db.simulator.stuff import stuff

# Lots that are written down wrongly at first: by how many came before, a slip and its reason.
_WRONG_CUSTOMER = {9: ("Marrow Lane Attic", "other customer, same day"), 47: ("", "")}
_WRONG_WEIGHT = {14: "digits of the button swapped", 52: "digits swapped again, 17 not 71"}
# Prices of one gram in tenths of a cent of EUR at the beginning; invented.
_FIRST_PRICES = {"Ag": 880, "Au": 96_400, "Pd": 31_800, "Pt": 29_900}
_SPRING = date(2031, 2, 20)


def simulate() -> Notebook:
    """Let two years go by and give the notebook with the truth beside it."""
    clock = Clock()
    calendar = Calendar(clock)
    floor = Floor(Notebook(clock), calendar)
    calendar.begin(_prices(floor), FIRST_DAY)
    calendar.begin(_arrivals(floor), FIRST_DAY)
    calendar.begin(campaigns.pour_days(floor), FIRST_DAY + timedelta(days=30))
    calendar.begin(campaigns.sales(floor), FIRST_DAY + timedelta(days=60))
    calendar.begin(campaigns.dore_shipments(floor), FIRST_DAY + timedelta(days=40))
    for day, story in _dated(floor):
        calendar.begin(_on_its_day(story), day)
    calendar.run()
    return floor.book


def _on_its_day(story: Callable[[], Story]) -> Story:
    """Put off even looking round until the day has come."""
    yield from story()


def _dated(floor: Floor) -> list[tuple[date, Callable[[], Story]]]:
    return [
        (date(2029, 5, 7), lambda: _containers(floor, ("safe top shelf", "safe lower shelf"))),
        (date(2029, 6, 11), lambda: mistakes.tin_of_dust(floor)),
        (date(2029, 8, 20), lambda: mistakes.weight_of_another_thing(floor)),
        (date(2029, 9, 3), lambda: _swept(floor, "tin 3", worked=True)),
        (date(2029, 11, 19), lambda: campaigns.smelt_slag_again(floor, 20)),
        (date(2029, 12, 28), lambda: counts.first_count(floor)),
        (date(2030, 1, 14), lambda: campaigns.send_blended_cupels(floor, "drum A", "drum B")),
        (date(2030, 3, 4), lambda: _swept(floor, "tin 3", worked=True)),
        (date(2030, 3, 18), lambda: campaigns.send_singly(floor, "tub 4", "slag", 6)),
        (date(2030, 4, 8), lambda: mistakes.assay_under_a_wrong_tag(floor)),
        (date(2030, 6, 17), lambda: campaigns.send_singly(floor, "drum B", "spent cupel", 12)),
        (date(2030, 7, 22), lambda: mistakes.wrong_drum(floor)),
        (date(2030, 8, 26), lambda: campaigns.send_blended_cupels(floor, "drum B", "drum C")),
        (date(2030, 9, 9), lambda: _swept(floor, "tin 5", worked=False)),
        (date(2030, 10, 7), lambda: campaigns.smelt_slag_again(floor, 18)),
        (date(2030, 10, 28), lambda: mistakes.bar_with_a_wrong_assay(floor)),
        (date(2030, 12, 30), lambda: counts.second_count(floor)),
        (date(2031, 2, 5), lambda: mistakes.swapped_bags(floor)),
        (date(2031, 2, 17), lambda: campaigns.send_and_wait(floor, "rack", "crucible", 6)),
        (date(2031, 3, 3), lambda: _swept(floor, "tin 5", worked=False)),
        (date(2031, 3, 10), lambda: _containers(floor, ("drum C",), "yard shed")),
    ]


def _containers(floor: Floor, names: tuple[str, ...], place: str = "safe") -> Story:
    """Put containers somewhere, once something lies in each; only then the book knows them."""
    for name in names:
        while name not in floor.book.shop.places:
            yield 7
        move_container(floor.book, name, place)


def _prices(floor: Floor) -> Story:
    dice = Dice("prices")
    now = dict(_FIRST_PRICES)
    while True:
        price(floor.book, now)
        first = (floor.book.clock.day.replace(day=1) + timedelta(days=32)).replace(day=1)
        yield (first - floor.book.clock.day).days
        for metal, tenths in now.items():
            now[metal] = round(tenths * (1.004 + dice.normal(0.028)))


def _arrivals(floor: Floor) -> Story:
    dice = Dice("arrivals")
    queue = [one for one in CUSTOMERS for _ in range(one.often)]
    came = 0
    while floor.book.clock.day < LAST_DAY:
        customer = dice.pick(queue)
        _arrive(floor, customer, came, dice)
        came += 1
        # Spring brings more, and some of it is still on the bench when the book ends.
        yield dice.whole(2, 5) if floor.book.clock.day > _SPRING else dice.whole(6, 13)


def _arrive(floor: Floor, customer: Customer, came: int, dice: Dice) -> None:
    kind = dice.pick(customer.brings)
    owner = Owner(customer.party, customer.terms)
    slip = _WRONG_CUSTOMER.get(came, ("", ""))
    name, things = receive(floor.book, owner, bags_of(kind, dice), dice, slip=slip)
    lot = Lot(name, kind, owner, slip=_WRONG_WEIGHT.get(came, ""))
    floor.calendar.begin(
        work_up(floor, lot, things), floor.book.clock.day + timedelta(days=dice.whole(0, 4))
    )


def _swept(floor: Floor, place: str, *, worked: bool) -> Story:
    """Sweep the floor and the hood: part of what was lost comes back as the house's own."""
    dice = Dice(f"swept {floor.book.clock.day}")
    found = floor.book.lost.part(dice.between(0.3, 0.45))
    floor.book.lost -= found
    grams = dice.between(500, 1100)
    dirt = stuff(
        burnable=grams * 0.2, grit=grams * 0.45, PbO=grams * 0.2, Cu=grams * 0.05, Fe=grams * 0.05
    )
    bag = Bag("dust", found + dirt, note="floor and hood, masks on", place=place)
    name, things = receive(floor.book, Owner("", "own"), [bag], dice)
    if worked:
        yield 4
        lot = Lot(name, "silver sweeps", Owner("", "own"))
        yield from work_up(floor, lot, things)
