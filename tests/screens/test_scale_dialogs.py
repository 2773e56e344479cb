"""The scale is set up, taught, checked and tried in the window, by real clicks and keys."""

from __future__ import annotations

import gc
import weakref
from collections.abc import Callable, Iterator
from dataclasses import replace
from datetime import date
from typing import Any

import pytest
from PySide6.QtCore import QEvent, Qt
from PySide6.QtWidgets import (
    QApplication,
    QDialog,
    QDialogButtonBox,
    QPushButton,
    QVBoxLayout,
    QWidget,
)
from pytestqt.qtbot import QtBot

from builders import mass
from screens.bench_scale import BENCH, Wire, no_scales
from vault.application.queries.answers.scales import CheckVerdict
from vault.bench.scale_port import PortOffered, PortSettings
from vault.bench.scale_profiles import Profile
from vault.bench.scale_watch import ScaleState
from vault.bench.scales import SIMULATED, Scale, ScaleNotKept
from vault.core.masses import Mass
from vault.screens.background import Background
from vault.screens.house_style import HouseStyle
from vault.screens.look import FIELD_HEIGHT
from vault.screens.scale.check_dialog import CheckScaleDialog
from vault.screens.scale.desk import ScaleDesk
from vault.screens.scale.questions import ScaleQuestions
from vault.screens.scale.room import ScaleRoom
from vault.screens.scale.scale_dialog import ScaleDialog
from vault.screens.scale.scales_dialog import ScalesDialog
from vault.screens.scale.simulated_window import SimulatedWindow
from vault.screens.scale.teach_dialog import TeachDialog
from vault.screens.widgets.choices import Choice


class Shop:
    """Stands for the open book: what is kept of scales, and what was recorded of checks."""

    def __init__(self) -> None:
        self.scales: dict[str, Scale] = {}
        self.in_use = ""
        self.checks: list[CheckVerdict] = []
        self.keys: list[str] = []

    def questions(self) -> ScaleQuestions:
        return replace(
            no_scales(),
            scales=lambda _book: tuple(self.scales.values()),
            scale_in_use=lambda _book: self.scales.get(self.in_use),
            keep=self.keep,
            forget=lambda _book, name: self.scales.pop(name),
            use=lambda _book, name: setattr(self, "in_use", name),
            last_checks=lambda _book: {one.scale: one for one in self.checks},
            check=self.check,
            ports=lambda: [PortOffered("/dev/invented", "/dev/invented, USB cable")],
        )

    def keep(self, _book: object, scale: Scale, was: str) -> None:
        if scale.name == "taken":
            raise ScaleNotKept("There is a scale called taken already; choose another name.")
        self.scales.pop(was, None)
        self.scales[scale.name] = scale
        self.in_use = scale.name

    def check(self, _book: object, scale: str, nominal: Mass, showed: Mass, key: str) -> None:
        limit = self.scales[scale].limit_of(nominal)
        self.keys.append(key)
        self.checks.append(CheckVerdict(scale, 7, date(2031, 3, 10), nominal, showed, limit))

    def record(
        self,
        operation: Callable[[Any], Any],
        then: Callable[[Any], None],
        on_failure: Callable[[BaseException], None],
        words: str = "",
    ) -> None:
        try:
            then(operation(self))
        except ValueError as error:
            on_failure(error)


class Bench:
    """A room over the shop, with a wire on which the test sends."""

    def __init__(self, qtbot: QtBot, background: Background, style: HouseStyle) -> None:
        self.qtbot = qtbot
        self.shop = Shop()
        self.wire = Wire()
        self.room = ScaleRoom(self.shop.questions, background, style)
        self.room._desk = ScaleDesk(self.room, open_wire=self._open)
        self.window = QWidget()
        QVBoxLayout(self.window)
        self.window.show()
        self.room.show_book(self.shop)

    def _open(self, _settings: PortSettings) -> Wire:
        self.wire = Wire()
        self.wire.send(b"\r\n")
        return self.wire

    def use(self, scale: Scale) -> None:
        self.shop.keep(None, scale, "")
        self.room.look_again()
        self.qtbot.waitUntil(lambda: self.room.desk.scale == scale)

    def shows(self, line: str, state: ScaleState) -> None:
        def shown() -> bool:
            self.wire.send(f"{line}\r\n".encode())
            live = self.room.desk.live
            return live.line == " ".join(line.split()) and live.state is state

        self.qtbot.waitUntil(shown)


@pytest.fixture
def bench(qtbot: QtBot, background: Background, style: HouseStyle) -> Iterator[Bench]:
    made = Bench(qtbot, background, style)
    yield made
    made.room.close()
    made.window.close()
    made.window.deleteLater()


def press(qtbot: QtBot, button: QPushButton) -> None:
    qtbot.mouseClick(button, Qt.MouseButton.LeftButton)


def choose(choice: Choice, words: str) -> None:
    next(one for one in choice.menu().actions() if one.text() == words).trigger()


def save(qtbot: QtBot, dialog: ScaleDialog) -> None:
    press(qtbot, dialog.buttons.button(QDialogButtonBox.StandardButton.Save))


def test_a_scale_is_added_by_hand_and_listened_to(qtbot: QtBot, bench: Bench) -> None:
    listed = ScalesDialog(bench.room, bench.window)
    listed.open()
    assert "No scale is set up yet" in listed.words.text()
    press(qtbot, listed.add_button)
    (dialog,) = listed.findChildren(ScaleDialog)
    assert dialog.port.port.word == "/dev/invented"
    bench.shows("ST,GS,+ 12.30 g", ScaleState.STEADY)
    assert dialog.trial.found.text() == "12.30 g, steady"
    save(qtbot, dialog)
    assert dialog.trouble.text().startswith("Give the scale a name")
    qtbot.keyClicks(dialog.port.name.line, "bench")
    qtbot.keyClicks(dialog.plate.step.line, "0.01")
    qtbot.keyClicks(dialog.plate.interval.line, "0.1 g")
    choose(dialog.plate.accuracy_class, "class II")
    dialog.port.by_itself.click()
    save(qtbot, dialog)
    qtbot.waitUntil(lambda: listed.list.count() == 1)
    assert bench.shop.scales["bench"] == replace(
        BENCH, interval=mass("0.1 g"), accuracy_class="II", takes_itself=True
    )
    assert listed.list.item(0).text() == "bench · /dev/invented · never checked · in use"
    listed.reject()


def test_a_port_that_is_not_listed_is_typed(qtbot: QtBot, bench: Bench) -> None:
    dialog = ScaleDialog(bench.room, BENCH, was="bench", parent=bench.window)
    dialog.open()
    choose(dialog.port.port, "another one, typed below")
    assert dialog.port.other_port.isVisible()
    dialog.port.other_port.setFocus()
    qtbot.keyClicks(dialog.port.other_port.line, "COM7")
    qtbot.keyClick(dialog.port.other_port.line, Qt.Key.Key_Return)
    assert bench.room.desk.scale == replace(BENCH, device="COM7")
    dialog.reject()


def test_settings_that_are_refused_stay_open_with_the_sentence(qtbot: QtBot, bench: Bench) -> None:
    dialog = ScaleDialog(bench.room, replace(BENCH, name="taken"), was="", parent=bench.window)
    dialog.open()
    qtbot.keyClicks(dialog.plate.u.line, "-1")
    save(qtbot, dialog)
    assert dialog.isVisible()
    assert dialog.plate.u.said_of_it.text.startswith("A weight is more than nothing")
    dialog.plate.u.write("")
    save(qtbot, dialog)
    qtbot.waitUntil(lambda: "called taken already" in dialog.trouble.text())
    dialog.reject()


def test_what_was_tried_is_not_kept_when_it_is_cancelled(qtbot: QtBot, bench: Bench) -> None:
    bench.use(BENCH)
    dialog = ScaleDialog(bench.room, BENCH, was="bench", parent=bench.window)
    dialog.open()
    choose(dialog.port.speed, "1200 baud")
    assert bench.room.desk.scale == replace(BENCH, baud=1200)
    dialog.reject()
    assert bench.room.desk.scale == BENCH
    assert bench.shop.scales["bench"] == BENCH


def test_a_strange_line_is_taught_and_read_from_then_on(qtbot: QtBot, bench: Bench) -> None:
    bench.use(BENCH)
    dialog = ScaleDialog(bench.room, BENCH, was="bench", parent=bench.window)
    dialog.open()
    bench.shows("#1 WGT=  12,300 gr *", ScaleState.UNREADABLE)
    assert "teach the program this line" in dialog.trial.found.text()
    press(qtbot, dialog.trial.teach_button)
    (teaching,) = dialog.findChildren(TeachDialog)
    assert teaching.line.text == "#1 WGT=  12,300 gr *"
    qtbot.keyClicks(teaching.shows.line, "12,3 kg")
    press(qtbot, teaching.try_button)
    assert "and you say kg" in teaching.saying.text
    teaching.shows.write("12,3 g")
    press(qtbot, teaching.try_button)
    assert teaching.saying.text == "Which of these says that the weight stands still?"
    press(qtbot, next(one for one in teaching.saying.answers() if one.text() == "“*”"))
    assert "“*” means steady" in teaching.outcome.words.text()
    assert "12.300 g, steady" in teaching.outcome.words.text()
    press(qtbot, teaching.use_button)
    bench.shows("#1 WGT=  12,300 gr *", ScaleState.STEADY)
    assert dialog.trial.found.text() == "12.300 g, steady"
    save(qtbot, dialog)

    def listens_by_what_was_taught() -> bool:
        kept = bench.shop.scales.get("bench")
        return kept is not None and isinstance(kept.profile, Profile)

    qtbot.waitUntil(listens_by_what_was_taught)
    qtbot.waitUntil(lambda: bench.room.desk.scale == bench.shop.scales["bench"])


def test_teaching_refuses_a_weight_that_the_line_does_not_show(qtbot: QtBot, bench: Bench) -> None:
    teaching = TeachDialog(bench.room, bench.window)
    teaching.open()
    assert "No line has come yet" in teaching.saying.text
    qtbot.keyClicks(teaching.line.line, "W 12.30 g")
    qtbot.keyClicks(teaching.shows.line, "12.40 g")
    qtbot.keyClick(teaching.shows.line, Qt.Key.Key_Return)
    assert "The line does not show 12.40 g" in teaching.saying.text
    assert not teaching.use_button.isEnabled()
    teaching.reject()


def test_another_word_in_a_captured_line_is_asked_about(qtbot: QtBot, bench: Bench) -> None:
    bench.use(BENCH)
    bench.shows("A1 12.30 g", ScaleState.UNREADABLE)
    bench.shows("#GR 12.30 g", ScaleState.UNREADABLE)
    bench.shows("#NE 10.00 g", ScaleState.UNREADABLE)
    teaching = TeachDialog(bench.room, bench.window)
    teaching.open()
    qtbot.keyClicks(teaching.shows.line, "10.00 g")
    press(qtbot, teaching.try_button)
    press(qtbot, next(one for one in teaching.saying.answers() if one.text() == "none of them"))
    assert "“GR” stood where “NE” stands in yours" in teaching.saying.text
    assert "#GR 12.30 g  →  not read" in teaching.outcome.words.text()
    press(qtbot, teaching.saying.answers()[0])
    assert teaching.saying.text == ""
    assert "#GR 12.30 g  →  12.30 g" in teaching.outcome.words.text()
    teaching.reject()


def checking(bench: Bench) -> CheckScaleDialog:
    bench.use(replace(BENCH, interval=mass("0.01 g"), accuracy_class="II"))
    dialog = CheckScaleDialog(bench.room, bench.shop, bench.window)
    dialog.open()
    dialog.activateWindow()
    bench.qtbot.waitUntil(dialog.nominal.line.hasFocus)
    return dialog


@pytest.mark.parametrize(
    ("shown", "words"),
    [
        ("200.02", "Within its limits. Off by +0.02 g; it may be off by 0.02 g."),
        ("199.97", "Out of its limits. Off by −0.03 g; it may be off by 0.02 g."),
    ],
)
def test_the_scale_is_checked_with_a_test_weight_by_keys_alone(
    qtbot: QtBot, bench: Bench, shown: str, words: str
) -> None:
    """OIML R 76, class II in service: 200 g by e = 10 mg is 20 000 e, so ± 2 e."""
    dialog = checking(bench)
    qtbot.keyClicks(dialog.nominal.line, "200")
    qtbot.keyClick(dialog.nominal.line, Qt.Key.Key_Return)
    bench.shows(f"ST,GS,+ {shown} g", ScaleState.STEADY)
    qtbot.keyClick(dialog.shown.line, Qt.Key.Key_Return)
    assert dialog.verdict.text().startswith(words)
    assert dialog.record_button.hasFocus()
    qtbot.keyClick(dialog.record_button, Qt.Key.Key_Space)
    (recorded,) = bench.shop.checks
    assert (recorded.nominal, recorded.showed) == (mass("200 g"), mass(f"{shown} g"))


def test_a_check_without_both_weights_cannot_be_recorded(qtbot: QtBot, bench: Bench) -> None:
    dialog = checking(bench)
    assert not dialog.record_button.isEnabled()
    qtbot.keyClicks(dialog.nominal.line, "200")
    assert not dialog.record_button.isEnabled()
    dialog.reject()


def test_the_box_shows_the_weight_and_how_far_the_scale_can_be_trusted(
    qtbot: QtBot, bench: Bench
) -> None:
    box = bench.room.box()
    bench.window.layout().addWidget(box)
    assert box.trust.text().startswith("No scale is set up.")
    bench.use(replace(BENCH, u=mass("0.02 g")))
    bench.shows("ST,GS,+ 150.85 g", ScaleState.STEADY)
    assert (box.figure.text(), box.state.text()) == ("150.85 g", "steady")
    assert box.trust.text() == "reads ± 0.02 g · never checked with a test weight"
    assert box.take_button.isEnabled()
    bench.shop.check(None, "bench", mass("200 g"), mass("200.01 g"), "one")
    bench.room.look_again()
    qtbot.waitUntil(
        lambda: box.trust.text() == "reads ± 0.02 g · last checked with a 200 g weight on 10 Mar"
    )
    bench.shop.check(None, "bench", mass("200 g"), mass("201 g"), "two")
    bench.room.look_again()
    qtbot.waitUntil(lambda: box.trust.text().endswith("on 10 Mar, and was out of its limits then"))
    bench.shows("OL", ScaleState.OVERLOAD)
    assert (box.figure.text(), box.state.text()) == ("–", "too much on it")
    assert not box.take_button.isEnabled()
    bench.shows("ST,GS,+ 1.0 lb", ScaleState.UNREADABLE)
    assert "“lb” is no unit known here" in box.trust.text()


def test_the_button_of_the_box_leaves_the_focus_in_the_field(qtbot: QtBot, bench: Bench) -> None:
    box, field = bench.room.box(), bench.room.weight_field("weight", "weigh it")
    bench.window.layout().addWidget(box)
    bench.window.layout().addWidget(field)
    bench.use(BENCH)
    qtbot.waitExposed(bench.window)
    bench.window.activateWindow()
    field.setFocus()
    qtbot.waitUntil(field.line.hasFocus)
    bench.shows("ST,GS,+ 150.85 g", ScaleState.STEADY)
    press(qtbot, box.take_button)
    assert field.mass() == mass("150.85 g")
    assert field.line.hasFocus()


def test_the_simulated_scale_weighs_what_is_put_on_it(qtbot: QtBot, bench: Bench) -> None:
    bench.room.show_simulated(bench.window)
    qtbot.waitUntil(lambda: bench.room.desk.simulated is not None)
    (controls,) = bench.window.findChildren(SimulatedWindow)
    qtbot.waitUntil(controls.isVisible)
    assert bench.shop.scales["simulated"].device == SIMULATED
    qtbot.keyClicks(controls.weight.line, "150.85")
    qtbot.keyClick(controls.weight.line, Qt.Key.Key_Return)
    desk = bench.room.desk
    qtbot.waitUntil(lambda: desk.live.state is ScaleState.STEADY)
    assert desk.live.reading is not None
    assert desk.live.reading.mass == mass("150.85 g")
    controls.plug.click()
    qtbot.waitUntil(lambda: desk.live.state is ScaleState.UNPLUGGED)
    controls.plug.click()
    qtbot.waitUntil(lambda: desk.live.state is ScaleState.ZERO)
    press(
        qtbot, next(one for one in controls.findChildren(QPushButton) if one.text() == "Too much")
    )
    qtbot.waitUntil(lambda: desk.live.state is ScaleState.OVERLOAD)
    bench.room.show_book(None)
    assert not controls.isVisible()


def test_a_scale_is_used_and_forgotten_from_the_list(qtbot: QtBot, bench: Bench) -> None:
    bench.use(BENCH)
    bench.use(replace(BENCH, name="yard"))
    listed = ScalesDialog(bench.room, bench.window)
    listed.open()
    listed.list.setCurrentRow(0)
    press(qtbot, listed.use_button)
    qtbot.waitUntil(lambda: bench.room.desk.scale == BENCH)
    press(qtbot, listed.forget_button)
    qtbot.waitUntil(lambda: listed.list.count() == 1)
    assert list(bench.shop.scales) == ["yard"]
    listed.reject()


def test_a_check_without_a_scale_is_told(qtbot: QtBot, bench: Bench) -> None:
    told: list[str] = []
    bench.room.told.connect(told.append)
    bench.room.show_check(bench.window, bench.shop)
    assert told == ["No scale is set up yet; set one up first, in the menu under Scales."]


DIALOGS: dict[str, Callable[[Bench], QDialog]] = {
    "scales": lambda bench: ScalesDialog(bench.room, bench.window),
    "scale": lambda bench: ScaleDialog(bench.room, BENCH, was="bench", parent=bench.window),
    "teach": lambda bench: TeachDialog(bench.room, bench.window),
    "check": lambda bench: CheckScaleDialog(bench.room, bench.shop, bench.window),
    "simulated": lambda bench: SimulatedWindow(bench.room, bench.window),
}


@pytest.mark.parametrize("name", DIALOGS)
def test_a_dialog_of_the_scale_is_freed_when_it_is_closed(
    qtbot: QtBot, qapp: QApplication, bench: Bench, name: str
) -> None:
    dialog = DIALOGS[name](bench)
    gone: list[bool] = []
    dialog.destroyed.connect(lambda: gone.append(True))
    kept = weakref.ref(dialog)
    dialog.open()
    dialog.reject()
    del dialog
    qapp.sendPostedEvents(None, QEvent.Type.DeferredDelete)
    assert gone == [True]
    gc.collect()
    qtbot.waitUntil(lambda: kept() is None)


def test_enter_in_a_field_closes_no_dialog(qtbot: QtBot, bench: Bench) -> None:
    dialog = ScaleDialog(bench.room, BENCH, was="bench", parent=bench.window)
    dialog.open()
    qtbot.keyClick(dialog.port.name.line, Qt.Key.Key_Return)
    qtbot.keyClick(dialog.plate.step.line, Qt.Key.Key_Enter)
    assert dialog.isVisible()
    assert bench.shop.scales == {}
    dialog.reject()


@pytest.mark.parametrize("name", DIALOGS)
def test_every_button_is_high_enough_for_a_gloved_hand(
    qtbot: QtBot, bench: Bench, name: str
) -> None:
    bench.use(BENCH)
    dialog = DIALOGS[name](bench)
    dialog.open()
    buttons = [one for one in dialog.findChildren(QPushButton) if one.isVisible()]
    assert buttons
    assert {one.text(): one.height() for one in buttons if one.height() < FIELD_HEIGHT} == {}
    assert dialog.height() >= dialog.minimumSizeHint().height()
    dialog.reject()
