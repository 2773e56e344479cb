"""The trace on the screen: walked with real clicks and keys, asked anew, saved and read again."""

from __future__ import annotations

import itertools
from collections.abc import Callable, Iterator
from dataclasses import replace
from datetime import date
from pathlib import Path
from xml.etree import ElementTree as ET

import pytest
from pypdf import PdfReader
from PySide6.QtCore import QPoint, QPointF, QRectF, Qt
from PySide6.QtGui import QImage, QWheelEvent
from PySide6.QtWidgets import QApplication, QFileDialog, QTableView, QWidget
from pytestqt.qtbot import QtBot

import trace_samples
from vault.application.queries.answers.trace import (
    MAIN_METAL,
    NodeKind,
    Trace,
    TraceQuestion,
    TraceRow,
)
from vault.core.errors import VaultError
from vault.screens.background import Background
from vault.screens.commands import Commands
from vault.screens.house_style import HouseStyle
from vault.screens.hues import DARK_HUES, DARK_OTHERS, LIGHT_HUES, LIGHT_OTHERS
from vault.screens.look import DARK, LIGHT, Look, load_face
from vault.screens.numbers import Numbers
from vault.screens.trace.box_item import BoxItem
from vault.screens.trace.page import PictureNotSaved, TracePage, save_page
from vault.screens.trace.rows import RowsModel, line_of
from vault.screens.trace.screen import TraceQuestions, TraceScreen
from vault.screens.trace.wording import Wording, set_of

BOOK = object()
FOOT = "Tidewater Melt Shop · head of the chain 9f31c0d2"


class Oracle:
    """Answers every question with a sample, and remembers what was asked."""

    def __init__(self) -> None:
        self.asked: list[TraceQuestion] = []
        self.sample: Callable[[], Trace] = trace_samples.bar_trace

    def trace(self, book: object, question: TraceQuestion) -> Trace:
        assert book is BOOK
        self.asked.append(question)
        if question.tag == "X-9":
            raise VaultError("There is no item X-9 in the book.")
        metal = "Ag" if question.metal == MAIN_METAL else question.metal
        return replace(self.sample(), question=replace(question, metal=metal))


@pytest.fixture
def oracle() -> Oracle:
    return Oracle()


@pytest.fixture
def screen(qtbot: QtBot, oracle: Oracle, background: Background) -> Iterator[TraceScreen]:
    questions = TraceQuestions(oracle.trace, lambda _book: FOOT)
    window = QWidget()
    qtbot.addWidget(window)
    commands = Commands(window)
    made = TraceScreen(questions, background, HouseStyle(), commands, lambda: date(2031, 3, 14))
    qtbot.addWidget(made)
    made.resize(1300, 880)
    made.show()
    made.show_book(BOOK)
    yield made
    made.leave()


@pytest.fixture
def traced(qtbot: QtBot, screen: TraceScreen) -> TraceScreen:
    screen.choose("item B-0031")
    shown(qtbot, screen)
    screen.view.setFocus()
    return screen


def shown(qtbot: QtBot, screen: TraceScreen) -> None:
    qtbot.waitUntil(lambda: screen.view.current is not None and not screen._asker.is_waiting)


def place_of(screen: TraceScreen, key: str) -> QPoint:
    box = screen.view._boxes()[key]
    return screen.view.mapFromScene(box.body.center())


def click(qtbot: QtBot, screen: TraceScreen, key: str) -> None:
    qtbot.mouseClick(screen.view.viewport(), Qt.MouseButton.LeftButton, pos=place_of(screen, key))


def standing_on(screen: TraceScreen) -> str:
    current = screen.view.current
    assert current is not None
    return current.key


def test_before_anything_is_traced_it_says_what_to_do(screen: TraceScreen) -> None:
    assert screen._empty.isVisible()
    assert "Trace it" in screen._empty.words.text()
    assert not screen.save.isEnabled()


def test_a_trace_opens_on_what_was_asked_for(traced: TraceScreen, oracle: Oracle) -> None:
    assert traced.title.text() == "Trace of bar B-0031"
    assert standing_on(traced) == "end"
    assert oracle.asked == [TraceQuestion(tag="B-0031", metal=MAIN_METAL)]
    assert traced.read_out.text() == "B-0031 · bar · Ag 1\u202f002.6 ± 0.6 g"


def test_a_lot_is_asked_for_ahead(qtbot: QtBot, screen: TraceScreen, oracle: Oracle) -> None:
    screen.choose("lot L-118")
    shown(qtbot, screen)
    assert oracle.asked[-1].lot == "L-118"
    assert oracle.asked[-1].forward
    assert not oracle.asked[-1].backward
    assert not screen.choices.back_button.isVisible()


def test_a_click_walks_to_a_box(qtbot: QtBot, traced: TraceScreen) -> None:
    with qtbot.waitSignal(traced.view.walked) as walked:
        click(qtbot, traced, "k2")
    assert walked.args[0].tag == "K-0203"
    assert standing_on(traced) == "k2"
    assert traced.read_out.text().startswith("K-0203 · bead · Ag 291.2 ± 1.7 g")


def test_a_double_click_traces_that_item(qtbot: QtBot, traced: TraceScreen, oracle: Oracle) -> None:
    viewport = traced.view.viewport()
    qtbot.mouseDClick(viewport, Qt.MouseButton.LeftButton, pos=place_of(traced, "k2"))
    qtbot.waitUntil(lambda: len(oracle.asked) == 2)
    assert oracle.asked[-1] == TraceQuestion(tag="K-0203", metal=MAIN_METAL)


def test_arrows_walk_along_the_thickest_ribbon_and_between_boxes(
    qtbot: QtBot, traced: TraceScreen
) -> None:
    way = []
    for key in (Qt.Key.Key_Left, Qt.Key.Key_Left, Qt.Key.Key_Down, Qt.Key.Key_Left, Qt.Key.Key_Up):
        qtbot.keyClick(traced.view, key)
        way.append(standing_on(traced))
    assert way == ["w4", "k1", "k2", "w2", "w1"]
    qtbot.keyClick(traced.view, Qt.Key.Key_Right)
    assert standing_on(traced) == "k1"


def test_walking_against_the_edge_stays_where_it_is(qtbot: QtBot, traced: TraceScreen) -> None:
    qtbot.keyClick(traced.view, Qt.Key.Key_Right)
    assert standing_on(traced) == "end"


def test_enter_traces_the_box_and_backspace_goes_back(
    qtbot: QtBot, traced: TraceScreen, oracle: Oracle
) -> None:
    click(qtbot, traced, "a")
    qtbot.keyClick(traced.view, Qt.Key.Key_Return)
    qtbot.waitUntil(lambda: len(oracle.asked) == 2)
    assert oracle.asked[-1] == TraceQuestion(
        lot="L-118", metal=MAIN_METAL, backward=False, forward=True
    )
    shown(qtbot, traced)
    qtbot.keyClick(traced.view, Qt.Key.Key_Backspace)
    qtbot.waitUntil(lambda: len(oracle.asked) == 3)
    assert oracle.asked[-1] == TraceQuestion(tag="B-0031")
    shown(qtbot, traced)
    with qtbot.waitSignal(traced._commands["back"].triggered):
        qtbot.keyClick(traced.view, Qt.Key.Key_Backspace)


def test_entering_a_work_asks_for_its_entry(qtbot: QtBot, traced: TraceScreen) -> None:
    click(qtbot, traced, "w4")
    with qtbot.waitSignal(traced.place_wanted) as wanted:
        qtbot.keyClick(traced.view, Qt.Key.Key_Enter)
    assert wanted.args == ["daybook", "305"]


def test_keys_zoom_and_show_all_again(qtbot: QtBot, traced: TraceScreen) -> None:
    whole = traced.view.transform().m11()
    qtbot.keyClick(traced.view, Qt.Key.Key_Plus)
    assert traced.view.transform().m11() == pytest.approx(whole * 1.25)
    qtbot.keyClick(traced.view, Qt.Key.Key_Minus)
    qtbot.keyClick(traced.view, Qt.Key.Key_Minus)
    assert traced.view.transform().m11() == pytest.approx(whole / 1.25)
    qtbot.keyClick(traced.view, Qt.Key.Key_0)
    assert traced.view.transform().m11() == pytest.approx(whole)


def test_the_wheel_zooms_roughly_and_the_picture_is_smooth_again_after(
    qtbot: QtBot, traced: TraceScreen
) -> None:
    view = traced.view
    whole = view.transform().m11()
    middle = QPointF(view.viewport().rect().center())
    wheel = QWheelEvent(
        middle,
        view.viewport().mapToGlobal(middle),
        QPoint(),
        QPoint(0, 240),
        Qt.MouseButton.NoButton,
        Qt.KeyboardModifier.NoModifier,
        Qt.ScrollPhase.NoScrollPhase,
        False,  # noqa: FBT003  Qt gives no name
    )
    QApplication.sendEvent(view.viewport(), wheel)
    assert view.transform().m11() > whole
    assert not view.renderHints() & view.renderHints().Antialiasing
    qtbot.waitUntil(lambda: bool(view.renderHints() & view.renderHints().Antialiasing))


def test_dragging_moves_the_picture_and_walks_nowhere(qtbot: QtBot, traced: TraceScreen) -> None:
    view, port = traced.view, traced.view.viewport()
    for _ in range(6):
        view.zoom(1.25)
    before = view.horizontalScrollBar().value()
    start = place_of(traced, "w4")
    here = port.rect().center()
    qtbot.mousePress(port, Qt.MouseButton.LeftButton, pos=here)
    qtbot.mouseMove(port, here - QPoint(60, 0))
    qtbot.mouseMove(port, here - QPoint(120, 0))
    qtbot.mouseRelease(port, Qt.MouseButton.LeftButton, pos=here - QPoint(120, 0))
    assert view.horizontalScrollBar().value() != before
    assert start != place_of(traced, "w4")
    assert standing_on(traced) == "end"


def test_pointing_at_a_ribbon_reads_it_out(qtbot: QtBot, traced: TraceScreen) -> None:
    ribbon = next(
        one
        for one in traced.view._ribbons()
        if (one.ribbon.source, one.ribbon.target) == ("w4", "end")
    )
    qtbot.mouseMove(
        traced.view.viewport(), traced.view.mapFromScene(ribbon._outline.boundingRect().center())
    )
    assert traced.read_out.text() == (
        "remelt → B-0031 · Ag 1\u202f003 g · L-118 62.0 %, L-121 29.0 %, L-101 5.4 %, L-097 3.6 %"
    )


def test_another_metal_and_another_way_are_asked_for(
    qtbot: QtBot, traced: TraceScreen, oracle: Oracle
) -> None:
    qtbot.mouseClick(traced.choices.button_of("Au"), Qt.MouseButton.LeftButton)
    qtbot.waitUntil(lambda: len(oracle.asked) == 2)
    assert oracle.asked[-1].metal == "Au"
    shown(qtbot, traced)
    qtbot.mouseClick(traced.choices.forward_button, Qt.MouseButton.LeftButton)
    qtbot.waitUntil(lambda: len(oracle.asked) == 3)
    assert (oracle.asked[-1].backward, oracle.asked[-1].forward) == (True, True)


def test_the_metal_chosen_holds_for_what_is_traced_next(
    qtbot: QtBot, traced: TraceScreen, oracle: Oracle
) -> None:
    qtbot.mouseClick(traced.choices.button_of("Au"), Qt.MouseButton.LeftButton)
    qtbot.waitUntil(lambda: len(oracle.asked) == 2)
    shown(qtbot, traced)
    traced.choose("item K-0203")
    qtbot.waitUntil(lambda: len(oracle.asked) == 3)
    assert oracle.asked[-1] == TraceQuestion(tag="K-0203", metal="Au")


def test_one_way_at_least_is_always_looked_at(
    qtbot: QtBot, traced: TraceScreen, oracle: Oracle
) -> None:
    qtbot.mouseClick(traced.choices.back_button, Qt.MouseButton.LeftButton)
    qtbot.waitUntil(lambda: len(oracle.asked) == 2)
    assert (oracle.asked[-1].backward, oracle.asked[-1].forward) == (False, True)


def test_a_fold_opens_with_one_click_and_the_reader_stays_where_they_stood(
    qtbot: QtBot, screen: TraceScreen, oracle: Oracle
) -> None:
    oracle.sample = trace_samples.folded_trace
    screen.trace("B-0031")
    shown(qtbot, screen)
    screen.view.walk_to("k3")
    click(qtbot, screen, "fold")
    qtbot.waitUntil(lambda: len(oracle.asked) == 2)
    assert oracle.asked[-1].unfolded == frozenset({"fold"})
    shown(qtbot, screen)
    assert standing_on(screen) == "k3"


def test_a_line_of_the_table_walks_to_its_box_and_enter_traces_it(
    qtbot: QtBot, traced: TraceScreen, oracle: Oracle
) -> None:
    table: QTableView = traced.table.table
    cell = table.visualRect(table.model().index(1, 0)).center()
    qtbot.mouseClick(table.viewport(), Qt.MouseButton.LeftButton, pos=cell)
    assert standing_on(traced) == "b"
    table.setFocus()
    qtbot.keyClick(table, Qt.Key.Key_Return)
    qtbot.waitUntil(lambda: len(oracle.asked) == 2)
    assert oracle.asked[-1].lot == "L-121"


def test_the_table_shows_grams_doubt_and_share_and_their_sum(traced: TraceScreen) -> None:
    model = traced.table.table.model()
    lines = [
        [model.index(row, column).data() for column in range(3)] for row in range(model.rowCount())
    ]
    assert lines[0] == ["L-118 · Pennant Bench School", "621.8 ± 2.1", "62.0 %"]
    assert lines[-1] == ["all", "1\u202f002.6 ± 0.6", "100 %"]
    assert "Every step of this trace balances" in traced.table.footing.text()


def test_a_trace_of_something_is_never_told_as_nothing() -> None:
    row = replace(trace_samples.bar_trace().rows[0], share=0.00001)
    assert line_of(row, Numbers())[2] == "< 0.1 %"
    assert line_of(replace(row, share=0.0), Numbers())[2] == "0.0 %"
    assert line_of(replace(row, share=None), Numbers())[2] == "–"


def test_a_line_below_zero_reads_from_nothing_up_and_the_sum_as_it_is() -> None:
    row = TraceRow("C-0170", "spent cupel", -300_000, 500_000, None)
    assert line_of(row, Numbers())[1] == "0 to 0.7"
    model = RowsModel()
    whole = replace(trace_samples.bar_trace(), rows=(row,), total_ug=-300_000, total_u_ug=500_000)
    model.show_trace(whole, Numbers(), LIGHT)
    assert [model.index(at, 1).data() for at in range(2)] == ["0 to 0.7", "−0.3 ± 0.5"]


def test_a_scanned_tag_is_walked_to(traced: TraceScreen) -> None:
    traced.set_filter("c-0151")
    assert standing_on(traced) == "s2"
    traced.set_filter("nothing like it")
    assert standing_on(traced) == "s2"


def test_trouble_is_told_in_place_and_the_old_picture_is_gone(
    qtbot: QtBot, traced: TraceScreen
) -> None:
    traced.trace("X-9")
    qtbot.waitUntil(traced._empty.isVisible)
    assert traced._empty.words.text() == "There is no item X-9 in the book."
    assert not traced.save.isEnabled()


def test_another_book_forgets_the_trace(traced: TraceScreen) -> None:
    traced.show_book(None)
    assert traced._empty.isVisible()
    assert traced.view.current is None


def test_a_trace_of_more_boxes_than_are_done_at_once_comes_too(
    qtbot: QtBot, screen: TraceScreen, oracle: Oracle
) -> None:
    oracle.sample = lambda: trace_samples.big_trace(260)
    screen.trace("B-0900")
    shown(qtbot, screen)
    qtbot.waitUntil(lambda: len(screen.view._boxes()) >= 260)


def test_the_dark_look_is_taken_over_at_once(qtbot: QtBot, traced: TraceScreen) -> None:
    traced._style.choose(DARK, Numbers())
    scene = traced.view.scene()
    assert scene.backgroundBrush().color() == DARK.card


def test_figures_follow_the_unit_that_is_set(traced: TraceScreen) -> None:
    traced._style.choose(LIGHT, Numbers(unit="ozt"))
    assert "ozt" in traced.read_out.text()
    assert traced.table.table.model().headerData(1, Qt.Orientation.Horizontal) == "Ag, ozt"


# --- labels ---------------------------------------------------------------------------------------


def labels(boxes: dict[str, BoxItem]) -> list[tuple[str, QRectF]]:
    return [(key, box.label_rect()) for key, box in boxes.items()]


@pytest.mark.parametrize(
    "sample",
    [
        trace_samples.bar_trace,
        trace_samples.folded_trace,
        trace_samples.lone_trace,
        lambda: trace_samples.big_trace(120),
    ],
)
def test_no_label_lies_on_another_or_on_a_box_or_outside(
    qtbot: QtBot, screen: TraceScreen, oracle: Oracle, sample: Callable[[], Trace]
) -> None:
    oracle.sample = sample
    screen.trace("B-0031")
    shown(qtbot, screen)
    boxes = screen.view._boxes()
    whole = screen.view.sceneRect()
    for (key, one), (other_key, other) in itertools.combinations(labels(boxes), 2):
        assert not one.intersects(other), (key, other_key)
        assert not one.intersects(boxes[other_key].body), (key, other_key)
        assert not other.intersects(boxes[key].body), (key, other_key)
    for _, one in labels(boxes):
        assert whole.contains(one)


def test_no_word_of_a_label_is_wider_than_its_room() -> None:
    load_face()
    made = set_of(Wording(trace_samples.bar_trace(), Numbers()))
    assert all(line.width <= 191 for label in made.labels.values() for line in label.lines)


def test_long_names_are_cut_with_dots_and_told_in_full_when_pointed_at() -> None:
    load_face()
    trace = trace_samples.bar_trace()
    long = "the uncommonly long-winded association of jewellery repairers"
    nodes = tuple(replace(one, lines=(long,)) for one in trace.nodes)
    wording = Wording(replace(trace, nodes=nodes), Numbers())
    assert wording.label(nodes[0]).lines[1].text.endswith("…")
    assert long in wording.said_of_box(nodes[0])


# --- colours --------------------------------------------------------------------------------------

# How red-blind and green-blind eyes see, in linear light: the matrices of Machado, Oliveira and
# Fernandes (2009) at full severity; from memory.
SIGHTS = {
    "all colours": ((1, 0, 0), (0, 1, 0), (0, 0, 1)),
    "no green": (
        (0.367322, 0.860646, -0.227968),
        (0.280085, 0.672501, 0.047413),
        (-0.011820, 0.042940, 0.968881),
    ),
    "no red": (
        (0.152286, 1.052583, -0.204868),
        (0.114503, 0.786281, 0.099216),
        (-0.003882, -0.048116, 1.051998),
    ),
}
# The OKLab space of Björn Ottosson (2020); from memory. A distance of 0.02 is just seen.
TO_CONES = (
    (0.4122214708, 0.5363325363, 0.0514459929),
    (0.2119034982, 0.6806995451, 0.1073969566),
    (0.0883024619, 0.2817188376, 0.6299787005),
)
TO_LAB = (
    (0.2104542553, 0.7936177850, -0.0040720468),
    (1.9779984951, -2.4285922050, 0.4505937099),
    (0.0259040371, 0.7827717662, -0.8086757660),
)
APART = 0.05
Colour = tuple[float, ...]


def times(matrix: tuple[tuple[float, ...], ...], colour: Colour) -> Colour:
    return tuple(sum(a * b for a, b in zip(row, colour, strict=True)) for row in matrix)


def linear(name: str) -> Colour:
    parts = [int(name[at : at + 2], 16) / 255 for at in (1, 3, 5)]
    return tuple(x / 12.92 if x <= 0.04045 else ((x + 0.055) / 1.055) ** 2.4 for x in parts)


def seen(name: str, sight: str) -> Colour:
    light = [min(1.0, max(0.0, x)) for x in times(SIGHTS[sight], linear(name))]
    return times(TO_LAB, tuple(x ** (1 / 3) for x in times(TO_CONES, tuple(light))))


def distance(one: str, other: str, sight: str) -> float:
    pair = zip(seen(one, sight), seen(other, sight), strict=True)
    return float(sum((a - b) ** 2 for a, b in pair) ** 0.5)


def contrast(one: str, other: str) -> float:
    """Give the contrast ratio of WCAG 2: (lighter + 0.05) / (darker + 0.05)."""
    bright = sorted(
        sum(w * x for w, x in zip((0.2126, 0.7152, 0.0722), linear(name), strict=True))
        for name in (one, other)
    )
    return (bright[1] + 0.05) / (bright[0] + 0.05)


LOOKS = [(LIGHT, (*LIGHT_HUES, LIGHT_OTHERS)), (DARK, (*DARK_HUES, DARK_OTHERS))]


@pytest.mark.parametrize("sight", SIGHTS)
@pytest.mark.parametrize(("look", "hues"), LOOKS, ids=["light", "dark"])
def test_lots_stay_apart_for_every_eye(look: Look, hues: tuple[str, ...], sight: str) -> None:
    for one, other in itertools.combinations(hues, 2):
        assert distance(one, other, sight) >= APART, (one, other)
    for one in hues:
        assert distance(one, look.card.name(), sight) >= APART, one


@pytest.mark.parametrize(("look", "hues"), LOOKS, ids=["light", "dark"])
def test_writing_on_ribbons_can_be_read(look: Look, hues: tuple[str, ...]) -> None:
    assert min(contrast(look.ink.name(), one) for one in hues) >= 3.0


def test_the_check_of_colours_bites() -> None:
    # Red and green of one lightness: far apart for most, the same for one man in twelve.
    assert distance("#C06A5A", "#7F8F3C", "all colours") > 0.12
    assert distance("#C06A5A", "#7F8F3C", "no green") < APART


# --- saving ---------------------------------------------------------------------------------------


def page(trace: Trace) -> TracePage:
    return TracePage(trace, Numbers(), "14 Mar 2031", FOOT)


def plain(text: str) -> str:
    """Give text with every kind of space as a plain one."""
    return text.replace("\u202f", " ").replace("\t", " ")


def test_a_pdf_holds_title_day_table_and_the_head_of_the_chain(
    qtbot: QtBot, traced: TraceScreen, tmp_path: Path
) -> None:
    path = tmp_path / "trace.pdf"
    with qtbot.waitSignal(traced.told) as told:
        traced.save_to(path)
    assert told.args == [f"Saved as {path}."]
    read = PdfReader(path)
    assert read.metadata is not None
    assert read.metadata.title == "Trace of bar B-0031"
    text = plain(read.pages[0].extract_text())
    for words in (
        "Trace of bar B-0031",
        "14 Mar 2031",
        "K-0205",
        "button",
        FOOT,
        "1 002.6 ± 0.6 g",
    ):
        assert words in text, words
    # Drawn, not photographed: no picture stands in it.
    assert not list(read.pages[0].images)


def test_a_pdf_of_a_long_table_goes_on_over_pages(qtbot: QtBot, tmp_path: Path) -> None:
    load_face()
    trace = trace_samples.bar_trace()
    rows = tuple(replace(trace.rows[0], name=f"L-{number}") for number in range(90))
    save_page(page(replace(trace, rows=rows)), tmp_path / "long.pdf")
    read = PdfReader(tmp_path / "long.pdf")
    text = "".join(plain(one.extract_text()) for one in read.pages)
    assert len(read.pages) == 5
    assert all(f"L-{number} ·" in text for number in range(90))
    assert all(FOOT in plain(one.extract_text()) for one in read.pages)


def test_a_wide_trace_takes_a_larger_sheet(qtbot: QtBot, tmp_path: Path) -> None:
    save_page(page(trace_samples.bar_trace()), tmp_path / "small.pdf")
    save_page(page(trace_samples.big_trace(150)), tmp_path / "wide.pdf")
    small, wide = (
        PdfReader(tmp_path / f"{one}.pdf").pages[0].mediabox for one in ("small", "wide")
    )
    # ISO 216: A4 is 210 × 297 mm, A2 is 420 × 594 mm; a PDF counts in 1/72 inch.
    assert float(small.width) == pytest.approx(297 / 25.4 * 72, abs=1)
    assert float(wide.width) == pytest.approx(594 / 25.4 * 72, abs=1)


def test_an_svg_is_vector_and_holds_title_and_labels(tmp_path: Path, qtbot: QtBot) -> None:
    load_face()
    save_page(page(trace_samples.bar_trace()), tmp_path / "trace.svg")
    root = ET.parse(tmp_path / "trace.svg").getroot()  # noqa: S314  written by ourselves just now
    space = "{http://www.w3.org/2000/svg}"
    assert root.findtext(f"{space}title") == "Trace of bar B-0031"
    words = " ".join("".join(one.itertext()) for one in root.iter(f"{space}text"))
    for said in ("B-0031", "K-0205", "L-118", "14 Mar 2031", FOOT):
        assert said in words, said
    assert len(list(root.iter(f"{space}path"))) > 14
    assert not list(root.iter(f"{space}image"))


def test_a_png_is_sharp_enough_to_print(tmp_path: Path, qtbot: QtBot) -> None:
    load_face()
    save_page(page(trace_samples.bar_trace()), tmp_path / "trace.PNG")
    image = QImage(str(tmp_path / "trace.PNG"))
    assert image.width() >= 1700
    assert image.text("Title") == "Trace of bar B-0031"


def test_a_picture_that_cannot_be_written_is_told_and_nothing_is_left(
    qtbot: QtBot, traced: TraceScreen, tmp_path: Path
) -> None:
    with qtbot.waitSignal(traced.told) as told:
        traced.save_to(tmp_path / "no such folder" / "trace.pdf")
    assert "could not be saved" in told.args[0]
    assert list(tmp_path.glob("*.pdf")) == []


def test_a_name_that_says_no_kind_is_refused(tmp_path: Path) -> None:
    with pytest.raises(PictureNotSaved, match="let its name end in"):
        save_page(page(trace_samples.bar_trace()), tmp_path / "trace.bmp")


def test_the_save_button_asks_where_and_saves(
    qtbot: QtBot, traced: TraceScreen, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    def chosen(*_asked: object) -> tuple[str, str]:
        return str(tmp_path / "mine"), "SVG (*.svg)"

    monkeypatch.setattr(QFileDialog, "getSaveFileName", chosen)
    qtbot.mouseClick(traced.save, Qt.MouseButton.LeftButton)
    assert (tmp_path / "mine.svg").exists()


def test_every_box_of_the_sample_is_of_a_kind_that_is_drawn() -> None:
    kinds = {node.kind for node in trace_samples.folded_trace().nodes}
    assert kinds == set(NodeKind)
