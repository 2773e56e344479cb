"""A weight is typed, or taken from the scale when it is steady; typing has the last word."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace

import pytest
from PySide6.QtCore import Qt
from PySide6.QtWidgets import QLineEdit, QVBoxLayout, QWidget
from pytestqt.qtbot import QtBot

from builders import mass
from screens.bench_scale import BENCH, BenchScale
from vault.bench.scale_watch import ScaleState
from vault.bench.scales import Scale
from vault.screens.house_style import HouseStyle
from vault.screens.look import LIGHT
from vault.screens.numbers import Numbers
from vault.screens.scale.words import TAKEN_BEFORE
from vault.screens.widgets.weight_field import TareField, WeightField


@pytest.fixture
def bench(qtbot: QtBot) -> Iterator[BenchScale]:
    made = BenchScale(qtbot)
    yield made
    made.desk.close()


class Form(QWidget):
    """Two fields for weights, of which the first hands on to the second."""

    def __init__(self, bench: BenchScale | None, style: HouseStyle) -> None:
        super().__init__()
        scales = None if bench is None else bench.desk
        self.first = WeightField("first weight", "weigh it", style, scales)
        self.second = WeightField("second weight", "weigh it", style, scales)
        self.tare = TareField("tare", "none", style, scales)
        column = QVBoxLayout(self)
        for one in (self.first, self.second, self.tare):
            column.addWidget(one)
        self.first.taken.connect(self.second.setFocus)
        self.second.taken.connect(self.tare.setFocus)


@pytest.fixture
def form(qtbot: QtBot, bench: BenchScale, style: HouseStyle) -> Iterator[Form]:
    made = Form(bench, style)
    made.show()
    qtbot.waitExposed(made)
    made.activateWindow()
    made.first.setFocus()
    qtbot.waitUntil(made.first.line.hasFocus)
    yield made
    made.close()
    made.deleteLater()


def enter(qtbot: QtBot, field: WeightField) -> None:
    qtbot.keyClick(field.line, Qt.Key.Key_Return)


def test_enter_takes_the_steady_weight_and_goes_on(
    qtbot: QtBot, bench: BenchScale, form: Form
) -> None:
    bench.steady("150.85")
    assert form.first.is_steady
    enter(qtbot, form.first)
    assert (form.first.text, form.first.mass()) == ("150.85 g", mass("150.85 g"))
    assert (form.first.source(), form.first.said_of_it.text) == ("bench", "from the scale bench")
    # The step alone gives the least that the ± can be: 10 mg / √12 (JCGM 100, F.2.2.1).
    assert form.first.mass_u == mass("0.002887 g")
    assert form.second.line.hasFocus()


def test_one_weight_is_not_taken_for_two_things(
    qtbot: QtBot, bench: BenchScale, form: Form
) -> None:
    bench.steady("150.85")
    enter(qtbot, form.first)
    bench.steady("150.85")
    enter(qtbot, form.second)
    assert form.second.mass() is None
    assert form.second.said_of_it.text == TAKEN_BEFORE
    bench.empty()
    bench.steady("150.85")
    enter(qtbot, form.second)
    assert form.second.mass() == mass("150.85 g")


def test_the_same_field_may_take_its_weight_again(
    qtbot: QtBot, bench: BenchScale, form: Form
) -> None:
    bench.steady("150.85")
    enter(qtbot, form.first)
    form.first.setFocus()
    qtbot.keyClick(form.first.line, Qt.Key.Key_Escape)
    assert form.first.text == ""
    bench.steady("150.85")
    enter(qtbot, form.first)
    assert form.first.mass() == mass("150.85 g")


@pytest.mark.parametrize(
    ("line", "state", "words"),
    [
        ("US,GS,+ 150.85 g", ScaleState.SETTLING, "not steady yet"),
        ("ST,GS,- 150.85 g", ScaleState.BELOW_ZERO, "below zero"),
        ("OL,GS,+9999999 g", ScaleState.OVERLOAD, "too much on the scale"),
        ("ST,GS,+ 150.85 lb", ScaleState.UNREADABLE, "“lb” is no unit known here"),
    ],
)
def test_nothing_is_taken_from_a_scale_that_shows_no_weight(
    qtbot: QtBot, bench: BenchScale, form: Form, line: str, state: ScaleState, words: str
) -> None:
    bench.shows(line, state)
    enter(qtbot, form.first)
    assert form.first.mass() is None
    assert words in form.first.said_of_it.text
    assert form.first.line.hasFocus()


def test_with_nothing_on_the_scale_enter_leaves_the_field_empty(
    qtbot: QtBot, bench: BenchScale, form: Form
) -> None:
    bench.empty()
    enter(qtbot, form.first)
    assert form.first.mass() is None
    assert form.second.line.hasFocus()


def test_an_old_weight_is_not_taken(qtbot: QtBot, bench: BenchScale, form: Form) -> None:
    bench.steady("150.85")
    qtbot.wait(1100)
    enter(qtbot, form.first)
    assert form.first.mass() is None
    assert "some seconds old" in form.first.said_of_it.text
    bench.send("ST,GS,+ 150.85 g", "ST,GS,+ 150.85 g")
    qtbot.waitUntil(lambda: form.first.mass() == mass("150.85 g"))


def test_a_wish_that_came_too_late_for_one_load_is_not_kept_for_the_next(
    qtbot: QtBot, bench: BenchScale, form: Form
) -> None:
    bench.steady("150.85")
    qtbot.wait(1100)
    enter(qtbot, form.first)
    bench.steady("160.00")
    bench.steady("150.85")
    assert form.first.mass() is None


def test_a_scale_that_is_silent_or_unplugged_gives_nothing(
    qtbot: QtBot, bench: BenchScale, form: Form
) -> None:
    bench.steady("150.85")
    bench.wire.is_pulled = True
    qtbot.waitUntil(lambda: bench.desk.live.state is ScaleState.UNPLUGGED)
    assert not form.first.is_steady
    bench.desk.wish_to_take()
    assert form.first.mass() is None
    assert "There is no port" in form.first.said_of_it.text or (
        "unplugged" in form.first.said_of_it.text
    )
    bench.wire.is_pulled = False
    bench.wire.send(b"\r\n")
    qtbot.waitUntil(lambda: bench.desk.live.state is not ScaleState.UNPLUGGED)
    bench.steady("150.85")
    enter(qtbot, form.first)
    assert form.first.mass() == mass("150.85 g")


def test_typing_wins_over_the_scale(qtbot: QtBot, bench: BenchScale, form: Form) -> None:
    bench.steady("150.85")
    qtbot.keyClicks(form.first.line, "12.5")
    bench.steady("160.00")
    enter(qtbot, form.first)
    assert (form.first.mass(), form.first.source()) == (mass("12.5 g"), "")
    assert (form.first.text, form.first.said_of_it.text) == ("12.50 g", "")


def test_the_big_button_takes_for_the_field_that_has_the_focus_alone(
    bench: BenchScale, form: Form
) -> None:
    bench.steady("150.85")
    bench.desk.wish_to_take()
    assert form.first.mass() == mass("150.85 g")
    assert form.second.mass() is None


def test_the_button_does_not_overwrite_what_is_typed(
    qtbot: QtBot, bench: BenchScale, form: Form
) -> None:
    bench.steady("150.85")
    qtbot.keyClicks(form.first.line, "12")
    bench.desk.wish_to_take()
    assert form.first.mass() == mass("12 g")
    assert form.first.said_of_it.text == "Empty the field first; what is typed in it stands."


def test_editing_a_taken_weight_makes_it_a_typed_one(
    qtbot: QtBot, bench: BenchScale, form: Form
) -> None:
    bench.steady("150.85")
    enter(qtbot, form.first)
    form.first.setFocus()
    form.first.line.selectAll()
    qtbot.keyClicks(form.first.line, "151")
    assert (form.first.mass(), form.first.source(), form.first.mass_u) == (mass("151 g"), "", None)


def use(bench: BenchScale, qtbot: QtBot, scale: Scale) -> None:
    bench.desk.listen(scale)
    # The thread that listened so far ends first, and might still swallow what is sent.
    qtbot.waitUntil(lambda: listens_to(bench, scale))
    bench.wire.send(b"\r\n")


def listens_to(bench: BenchScale, scale: Scale) -> bool:
    listening = bench.desk._listening
    return listening is not None and listening.scale is scale and listening.isRunning()


def test_a_scale_that_is_set_so_gives_each_new_load_by_itself(
    qtbot: QtBot, bench: BenchScale, form: Form
) -> None:
    use(bench, qtbot, replace(BENCH, takes_itself=True))
    bench.empty()
    bench.steady("150.85")
    qtbot.waitUntil(lambda: form.first.mass() == mass("150.85 g"))
    assert form.second.line.hasFocus()
    bench.steady("150.85")
    bench.steady("150.87")
    assert form.second.mass() is None
    bench.steady("20.00")
    qtbot.waitUntil(lambda: form.second.mass() == mass("20 g"))


def test_a_load_that_lay_there_before_the_field_was_entered_is_not_taken_by_itself(
    qtbot: QtBot, bench: BenchScale, form: Form
) -> None:
    use(bench, qtbot, replace(BENCH, takes_itself=True))
    form.tare.setFocus()
    qtbot.keyClicks(form.tare.line, "3")
    bench.steady("150.85")
    form.first.setFocus()
    bench.steady("150.85")
    assert form.first.mass() is None
    enter(qtbot, form.first)
    assert form.first.mass() == mass("150.85 g")


def test_the_print_key_of_a_scale_takes_its_weight(
    qtbot: QtBot, bench: BenchScale, form: Form
) -> None:
    use(bench, qtbot, replace(BENCH, sends_on_print=True))
    bench.send("150.85 g")
    qtbot.waitUntil(lambda: form.first.mass() == mass("150.85 g"))
    assert form.second.line.hasFocus()
    bench.send("150.85 g")
    bench.send("20.10 g")
    qtbot.waitUntil(lambda: form.second.mass() == mass("20.1 g"))


def test_the_tare_comes_from_the_scale_that_tells_it(
    qtbot: QtBot, bench: BenchScale, form: Form
) -> None:
    form.tare.setFocus()
    bench.send("TR,+ 12.30 g")
    qtbot.waitUntil(lambda: form.tare.mass() == mass("12.3 g"))
    assert form.tare.source() == "bench"


def test_a_tare_is_left_empty_with_enter_while_the_full_bag_lies_there(
    qtbot: QtBot, bench: BenchScale, form: Form
) -> None:
    bench.steady("150.85")
    enter(qtbot, form.first)
    form.tare.setFocus()
    bench.steady("150.85")
    with qtbot.waitSignal(form.tare.taken):
        enter(qtbot, form.tare)
    assert form.tare.mass() is None
    bench.steady("2.50")
    enter(qtbot, form.tare)
    assert form.tare.mass() == mass("2.5 g")


def test_a_tare_may_be_nothing_and_a_weight_may_not(qtbot: QtBot, form: Form) -> None:
    for field, trouble in ((form.tare, ""), (form.first, "A weight is more than nothing")):
        field.setFocus()
        qtbot.keyClicks(field.line, "0")
        enter(qtbot, field)
        assert field.trouble().startswith(trouble)
        assert bool(field.trouble()) == bool(trouble)


def test_the_scale_shows_in_the_scales_own_digits_and_the_shops_mark(
    qtbot: QtBot, bench: BenchScale, form: Form, style: HouseStyle
) -> None:
    style.choose(LIGHT, Numbers(decimal_mark=","))
    bench.steady("150.80")
    enter(qtbot, form.first)
    assert form.first.text == "150,80 g"
    form.first.setFocus()
    form.first.look()
    assert form.first.mass() == mass("150.8 g")


@pytest.mark.parametrize(
    ("typed", "weight"),
    [("12,5", "12.5 g"), (".4 ozt", ".4 ozt"), ("1 kg", "1 kg"), ("3 dwt", "3 dwt")],
)
def test_without_a_scale_a_weight_is_typed_in_any_unit(
    qtbot: QtBot, style: HouseStyle, typed: str, weight: str
) -> None:
    form = Form(None, style)
    qtbot.addWidget(form)
    form.show()
    qtbot.waitExposed(form)
    form.activateWindow()
    form.first.setFocus()
    qtbot.waitUntil(form.first.line.hasFocus)
    qtbot.keyClicks(form.first.line, typed)
    enter(qtbot, form.first)
    assert form.first.mass() == mass(weight)
    assert form.second.line.hasFocus()


@pytest.mark.parametrize("typed", ["-5", "0", "12 lb", "1,234", "abc"])
def test_what_is_no_weight_is_told_under_the_field(
    qtbot: QtBot, style: HouseStyle, typed: str
) -> None:
    form = Form(None, style)
    qtbot.addWidget(form)
    form.show()
    qtbot.waitExposed(form)
    form.activateWindow()
    form.first.setFocus()
    qtbot.waitUntil(form.first.line.hasFocus)
    qtbot.keyClicks(form.first.line, typed)
    enter(qtbot, form.first)
    assert form.first.mass() is None
    assert form.first.said_of_it.text == form.first.trouble() != ""
    assert form.first.line.hasFocus()


def test_a_weight_put_back_keeps_the_scale_it_was_read_on(
    qtbot: QtBot, bench: BenchScale, form: Form
) -> None:
    form.first.write_mass(mass("150.85 g"), "bench", mass("0.02 g"))
    assert (form.first.text, form.first.source()) == ("150.85 g", "bench")
    form.first.write("151 g")
    assert (form.first.mass(), form.first.source()) == (mass("151 g"), "")


def test_a_field_beside_others_leaves_them_alone(bench: BenchScale, form: Form) -> None:
    other = QLineEdit()
    form.layout().addWidget(other)
    other.setFocus()
    bench.steady("150.85")
    bench.desk.wish_to_take()
    assert [one.mass() for one in (form.first, form.second, form.tare)] == [None] * 3
