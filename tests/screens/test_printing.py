"""Tags and receipts on paper: what stands on it, the dialogs before it, and what is told after."""

from __future__ import annotations

import io
import threading
import time
from collections.abc import Sequence
from dataclasses import replace
from datetime import date
from pathlib import Path

import pypdf
import pytest
from PySide6.QtCore import QPoint, Qt
from PySide6.QtGui import QImage, QPainter
from PySide6.QtPrintSupport import QPrinter, QPrinterInfo
from PySide6.QtWidgets import QApplication, QDialog, QWidget
from pytestqt.qtbot import QtBot

from screens.conftest import WindowOf
from screens.invented import InventedShop
from screens.invented_papers import HEAD, receipt, tag_label
from screens.stand_ins import HandsOff
from vault.application.queries.answers.labels import TagLabel
from vault.core.errors import TextNotUnderstood, VaultError
from vault.screens.look import DARK, LIGHT
from vault.screens.main_window import MainWindow
from vault.screens.numbers import Numbers
from vault.screens.printing.label import LabelPaper
from vault.screens.printing.label_dialog import LabelDialog
from vault.screens.printing.output import NotPrinted, draw_page, pdf_of, print_on, save_pdf
from vault.screens.printing.page import PAGE_SIZES_MM, Paper
from vault.screens.printing.receipt import receipt_paper
from vault.screens.printing.report_dialog import ReportPaperDialog
from vault.screens.printing.stocks import (
    ROLLS,
    SHEETS,
    Stock,
    checked,
    roll,
    stock_from_text,
)
from vault.screens.safe.screen import SafeScreen
from vault.screens.settings.choices import Choices
from vault.screens.style_sheet import palette, style_sheet

NUMBERS = Numbers()


def words_of(paper: Paper) -> list[str]:
    """Give the words of each page, as a reader of the PDF finds them."""
    pages = pypdf.PdfReader(io.BytesIO(pdf_of(paper))).pages
    return [" ".join(page.extract_text().split()) for page in pages]


def picture_of(paper: Paper) -> QImage:
    width, height = (round(side * 4) for side in paper.size_mm)
    picture = QImage(width, height, QImage.Format.Format_RGB32)
    picture.fill(Qt.GlobalColor.white)
    painter = QPainter(picture)
    draw_page(paper, painter, 0, 4)
    painter.end()
    return picture


# --- labels -----------------------------------------------------------------------------------


@pytest.mark.parametrize("stock", [*SHEETS, *ROLLS], ids=lambda one: one.name)
def test_the_usual_sizes_fit_their_sheets_and_say_so_in_millimetres(stock: Stock) -> None:
    assert stock.trouble() == ""
    assert checked(stock) is stock
    assert stock_from_text(stock.to_text()) == stock
    assert " × " in stock.name
    assert " mm" in stock.name


def test_a_tag_says_its_number_form_lots_and_day(qapp: QApplication) -> None:
    [page] = words_of(LabelPaper([tag_label("K-0212")], ROLLS[2]))
    assert page == "K-0212 19 button made 5 Mar 2031 lot L-118, L-121 +1"


def test_the_tag_of_a_bag_says_when_it_was_received(qapp: QApplication) -> None:
    [page] = words_of(LabelPaper([tag_label("R-0001")], ROLLS[2]))
    assert "received 5 Mar 2031" in page


def test_a_residues_tag_says_since_when_and_warns_of_lead(qapp: QApplication) -> None:
    [page] = words_of(LabelPaper([tag_label("C-0165")], ROLLS[0]))
    assert "C-0165 93" in page
    assert "kept since 5 Mar 2031" in page
    assert "LEAD. No eating, drinking or smoking; keep shut; wash hands." in page


def test_a_container_has_a_tag_of_its_name(qapp: QApplication) -> None:
    [page] = words_of(LabelPaper([tag_label("drum C", lots=())], ROLLS[2]))
    assert "drum C container kept since 5 Mar 2031" in page
    assert "LEAD." in page


def test_long_names_are_cut_and_nothing_leaves_its_label(qapp: QApplication) -> None:
    long = tag_label(
        "a drum with a name that goes on and on until nobody reads it any more at all",
        form="iron with filings from under the long bench of the bench school",
        lots=("a lot with a name far too long for any label",),
    )
    for stock in ROLLS:
        wide = roll(stock.width + 30, stock.height + 20)
        picture = picture_of(LabelPaper([long], stock))
        assert picture.size() != picture_of(LabelPaper([long], wide)).size()
        white = Qt.GlobalColor.white
        edge = [picture.pixelColor(picture.width() - 2, y) for y in range(picture.height())]
        edge += [picture.pixelColor(x, picture.height() - 2) for x in range(picture.width())]
        assert all(colour == white for colour in edge), stock.name
    assert "…" in words_of(LabelPaper([long], ROLLS[2]))[0]


def test_tags_begin_at_any_label_of_a_sheet_that_is_used_in_part(qapp: QApplication) -> None:
    labels = [tag_label(f"B-{number:04d}") for number in range(1, 31)]
    paper = LabelPaper(labels, SHEETS[0], start_at=17)
    assert paper.pages == 3
    first, second, third = (paper.places(page) for page in range(3))
    assert [label for _, label in first[:17]] == [None] * 17
    assert [label for _, label in first[17:]] == labels[:4]
    assert [label for _, label in second] == labels[4:25]
    assert [label for _, label in third[:5]] == labels[25:]
    assert third[5][1] is None
    pages = words_of(paper)
    assert [page.count("bar") for page in pages] == [4, 21, 5]


@pytest.mark.parametrize(
    ("stock", "said"),
    [
        (roll(30, 15), "30 × 15 mm is too small for a symbol that can be scanned"),
        (Stock(210, 297, 70, 37, 3, 8, 5, 0), "5 mm wider than the sheet; check the left margin"),
        (Stock(210, 297, 70, 37, 3, 8, 0, 4), "3 mm higher than the sheet; check the upper mar"),
    ],
)
def test_sizes_that_do_not_fit_are_refused_in_a_sentence(stock: Stock, said: str) -> None:
    with pytest.raises(TextNotUnderstood, match=said):
        checked(stock)
    assert stock_from_text(stock.to_text()) == SHEETS[0]


@pytest.mark.parametrize("text", ["", "nonsense", "[]", '{"width": 3}', '{"x": 1}'])
def test_a_setting_that_makes_no_sense_leaves_the_first_of_the_usual_sizes(text: str) -> None:
    assert stock_from_text(text) == SHEETS[0]


def test_the_dark_look_does_not_reach_paper(qapp: QApplication) -> None:
    paper = LabelPaper([tag_label("C-0165")], ROLLS[0])
    light = picture_of(paper)
    qapp.setPalette(palette(DARK))
    qapp.setStyleSheet(style_sheet(DARK))
    dark = picture_of(paper)
    qapp.setPalette(palette(LIGHT))
    qapp.setStyleSheet("")
    assert dark == light
    assert dark.pixelColor(2, 2) == Qt.GlobalColor.white


# --- receipts ---------------------------------------------------------------------------------


def test_a_receipt_says_everything_that_was_recorded(qapp: QApplication) -> None:
    [page] = words_of(receipt_paper(receipt(), NUMBERS))
    for said in (
        "Tidewater Melt Shop",
        "Receipt for lot L-124",
        "5 Mar 2031, by Imke",
        "Pennant Bench School",
        "Toll. The metal stays the customer's",
        "before 19 Mar 2031",
        "R-0001 33 filings 501.40 ± 0.02 g 12.50 g Ag 600 ± 60 ‰ held until 19 Mar 2031",
        "swept from under the long bench, with iron in it",
        "not weighed",
        "Together 3 items",
        "1 of them not weighed",
        "Lead. Holds litharge",
        "this receipt is no assay",
        "brought by Pennant Bench School",
        "for Tidewater Melt Shop: Imke",
        f"entry 17 · chain {HEAD}",
        "page 1 of 1",
    ):
        assert said in page.replace("\u202f", " "), said


def test_a_receipt_of_many_bags_has_its_heading_and_number_on_each_page(qapp: QApplication) -> None:
    pages = words_of(receipt_paper(receipt(bags=120), NUMBERS))
    assert len(pages) > 2
    for number, page in enumerate(pages, start=1):
        assert f"page {number} of {len(pages)}" in page
        assert HEAD in page
    assert all("Weight without bag" in page for page in pages[:-1])
    whole = " ".join(pages)
    assert all(f"R-{number:04d}" in whole for number in range(1, 121))


def test_a_struck_receipt_says_so(qapp: QApplication) -> None:
    [page] = words_of(receipt_paper(receipt(struck_by=18), NUMBERS, "Letter"))
    assert "Struck by entry 18: this receipt does not hold any more." in page


def test_a_receipt_is_written_in_the_readers_units(qapp: QApplication) -> None:
    [page] = words_of(receipt_paper(receipt(), Numbers(unit="ozt", decimal_mark=",")))
    assert "16,1204 ± 0,0006 ozt" in page


# --- out of the program -----------------------------------------------------------------------


@pytest.mark.parametrize("name", PAGE_SIZES_MM)
def test_a_pdf_has_the_size_of_its_paper(qapp: QApplication, name: str) -> None:
    paper = receipt_paper(receipt(), NUMBERS, name)
    [page] = pypdf.PdfReader(io.BytesIO(pdf_of(paper))).pages
    told = (float(page.mediabox.width), float(page.mediabox.height))
    assert told == pytest.approx([side / 25.4 * 72 for side in paper.size_mm], abs=1)


def test_a_lying_label_lies_in_its_pdf(qapp: QApplication) -> None:
    [page] = pypdf.PdfReader(io.BytesIO(pdf_of(LabelPaper([tag_label("K-1")], ROLLS[0])))).pages
    assert float(page.mediabox.width) == pytest.approx(40 / 25.4 * 72, abs=1)
    assert float(page.mediabox.height) == pytest.approx(20 / 25.4 * 72, abs=1)


def test_a_pdf_that_cannot_be_written_is_told_in_a_sentence(
    qapp: QApplication, tmp_path: Path
) -> None:
    with pytest.raises(NotPrinted, match="; choose another folder or free some space"):
        save_pdf(LabelPaper([tag_label("K-1")], ROLLS[0]), tmp_path / "no folder" / "tags.pdf")
    (tmp_path / "tags.pdf").mkdir()
    with pytest.raises(NotPrinted, match="could not be written"):
        save_pdf(LabelPaper([tag_label("K-1")], ROLLS[0]), tmp_path / "tags.pdf")
    assert [one.name for one in tmp_path.iterdir() if one.suffix == ".new"] == []


def test_a_printer_takes_every_page(qapp: QApplication, tmp_path: Path) -> None:
    printer = QPrinter(QPrinter.PrinterMode.HighResolution)
    printer.setOutputFormat(QPrinter.OutputFormat.PdfFormat)
    printer.setOutputFileName(str(tmp_path / "printed.pdf"))
    print_on(LabelPaper([tag_label("K-0212"), tag_label("C-0165")], ROLLS[2]), printer)
    pages = pypdf.PdfReader(tmp_path / "printed.pdf").pages
    assert ["C-0165" in page.extract_text() for page in pages] == [False, True]


# --- dialogs ----------------------------------------------------------------------------------


@pytest.fixture
def hands() -> HandsOff:
    return HandsOff()


@pytest.fixture
def dialog(qtbot: QtBot, hands: HandsOff, choices: Choices) -> LabelDialog:
    made = LabelDialog([tag_label(f"K-{at:04d}") for at in range(1, 6)], hands, choices)
    made.show()
    return made


def click(qtbot: QtBot, widget: QWidget) -> None:
    qtbot.mouseClick(widget, Qt.MouseButton.LeftButton)


def test_tags_are_shown_and_saved_and_the_labels_remembered(
    qtbot: QtBot, dialog: LabelDialog, hands: HandsOff, choices: Choices, tmp_path: Path
) -> None:
    assert dialog.summary.text() == "5 tags on 1 sheet of 210 × 297 mm."
    dialog.stock_choice.setCurrentIndex(len(SHEETS))
    assert dialog.summary.text() == "5 tags on a roll."
    hands.answer = tmp_path / "tags.pdf"
    with qtbot.waitSignal(dialog.told) as told:
        click(qtbot, dialog.pdf_button)
    assert told.args == [f"Tags K-0001 was saved as {tmp_path / 'tags.pdf'}."]
    assert len(pypdf.PdfReader(tmp_path / "tags.pdf").pages) == 5
    assert choices.label_stock == ROLLS[0]


def test_without_a_printer_tags_are_saved_and_that_is_said(
    qtbot: QtBot, dialog: LabelDialog, hands: HandsOff, tmp_path: Path
) -> None:
    assert QPrinterInfo.availablePrinterNames() == []
    hands.answer = tmp_path / "tags.pdf"
    with qtbot.waitSignal(dialog.told) as told:
        click(qtbot, dialog.print_button)
    assert told.args is not None
    assert told.args[0].startswith("No printer was found, so Tags K-0001 was saved as ")


def test_enter_presses_the_button_in_hand_and_nothing_elsewhere(
    qtbot: QtBot, dialog: LabelDialog, hands: HandsOff, tmp_path: Path
) -> None:
    hands.answer = tmp_path / "tags.pdf"
    dialog.start_at.setFocus()
    qtbot.keyClick(dialog.start_at, Qt.Key.Key_Return)
    assert dialog.isVisible()
    assert not hands.answer.exists()
    dialog.print_button.setFocus()
    with qtbot.waitSignal(dialog.told):
        qtbot.keyClick(dialog.print_button, Qt.Key.Key_Return)
    assert hands.answer.exists()


def test_the_next_tags_begin_where_the_last_ended(
    qtbot: QtBot, dialog: LabelDialog, hands: HandsOff, choices: Choices, tmp_path: Path
) -> None:
    dialog.start_at.setValue(18)
    hands.answer = tmp_path / "tags.pdf"
    click(qtbot, dialog.pdf_button)
    again = LabelDialog([tag_label("K-0009")], hands, choices)
    assert again.start_at.value() == 2
    again.reject()


def test_thinking_better_of_it_saves_nothing(
    qtbot: QtBot, dialog: LabelDialog, hands: HandsOff
) -> None:
    click(qtbot, dialog.pdf_button)
    assert hands.proposed is not None
    assert hands.proposed.name == "Tags K-0001.pdf"
    assert dialog.isVisible()
    dialog.reject()


def test_trouble_with_the_file_is_told_in_the_dialog(
    qtbot: QtBot, dialog: LabelDialog, hands: HandsOff, tmp_path: Path
) -> None:
    hands.answer = tmp_path / "nowhere" / "tags.pdf"
    click(qtbot, dialog.pdf_button)
    assert "could not be written" in dialog.trouble.text()
    assert dialog.isVisible()
    assert dialog.pdf_button.isEnabled()
    dialog.reject()


def test_a_click_on_a_label_begins_there(qtbot: QtBot, dialog: LabelDialog) -> None:
    page, scale = dialog.preview._place()
    place, _ = LabelPaper([], SHEETS[0]).places(0)[4]
    at = page.topLeft() + place.center() / 10 * scale
    qtbot.mouseClick(
        dialog.preview, Qt.MouseButton.LeftButton, pos=QPoint(round(at.x()), round(at.y()))
    )
    assert dialog.start_at.value() == 5
    assert isinstance(dialog.paper, LabelPaper)
    assert dialog.paper.start_at == 4
    dialog.reject()


def test_a_sheet_of_ones_own_is_checked_as_it_is_typed(
    qtbot: QtBot, dialog: LabelDialog, choices: Choices, hands: HandsOff, tmp_path: Path
) -> None:
    dialog.stock_choice.setCurrentIndex(len(SHEETS) + len(ROLLS))
    assert dialog.own.isVisible()
    dialog.own.measures["left"].setValue(60)
    assert "wider than the sheet" in dialog.trouble.text()
    assert not dialog.print_button.isEnabled()
    dialog.own.counts["columns"].setValue(2)
    assert dialog.trouble.text() == ""
    hands.answer = tmp_path / "tags.pdf"
    click(qtbot, dialog.pdf_button)
    assert choices.label_stock.columns == 2
    assert choices.label_stock.left == 60


def test_a_roll_of_ones_own_asks_for_its_label_alone(qtbot: QtBot, dialog: LabelDialog) -> None:
    dialog.stock_choice.setCurrentIndex(len(SHEETS) + len(ROLLS) + 1)
    shown = [name for name, field in dialog.own.fields.items() if field.isVisible()]
    assert shown == ["width", "height"]
    dialog.own.measures["width"].setValue(80)
    assert dialog.stock == roll(80, 38.1)
    dialog.reject()


def test_names_without_check_digits_are_told(
    qtbot: QtBot, hands: HandsOff, choices: Choices
) -> None:
    labels = [tag_label(tag) for tag in ("K-0001", "drum C", "drum D", "tub 1", "tub 2")]
    dialog = LabelDialog(labels, hands, choices)
    assert dialog.unsafe.text().startswith("No check digits: drum C, drum D, tub 1 and 1 more.")
    dialog.reject()


def test_a_reports_page_is_chosen_and_remembered_and_its_pages_turned(
    qtbot: QtBot, hands: HandsOff, choices: Choices
) -> None:
    many = receipt(bags=60)
    dialog = ReportPaperDialog(
        "Print the receipt",
        lambda size: receipt_paper(many, NUMBERS, size),
        hands,
        choices,
    )
    dialog.show()
    assert dialog._number.text() == "page 1 of 2"
    click(qtbot, dialog._on)
    assert dialog.preview.page == 1
    dialog.size_choice.setCurrentText("Letter")
    assert dialog.paper.size_mm == PAGE_SIZES_MM["Letter"]
    assert choices.page_size == "Letter"
    dialog.reject()


# --- from the window --------------------------------------------------------------------------


@pytest.fixture
def window(qtbot: QtBot, window_of: WindowOf) -> MainWindow:
    made = window_of(InventedShop())
    made.desk.open(Path("tidewater.shop"))
    qtbot.waitUntil(lambda: made.shown == "safe")
    return made


def dialog_over(qtbot: QtBot, kind: type[QDialog]) -> QDialog:
    def found() -> list[QDialog]:
        shown = [one for one in QApplication.topLevelWidgets() if one.isVisible()]
        return [one for one in shown if isinstance(one, kind) and type(one) is kind]

    qtbot.waitUntil(lambda: bool(found()))
    return found()[0]


def test_the_chosen_item_has_its_tag_printed_once_more(qtbot: QtBot, window: MainWindow) -> None:
    safe = window.screen_named("safe")
    assert isinstance(safe, SafeScreen)
    safe.choose("B-0031")
    qtbot.waitUntil(lambda: safe.pane.tag.text() == "B-0031")
    click(qtbot, safe.pane.print_button)
    dialog = dialog_over(qtbot, LabelDialog)
    assert isinstance(dialog, LabelDialog)
    assert [label.tag for label in dialog._labels] == ["B-0031"]
    dialog.reject()


def test_tags_and_receipt_come_one_after_the_other(
    qtbot: QtBot, window: MainWindow, tmp_path: Path
) -> None:
    papers = window._parts.papers
    papers.tags("book", ("R-0001", "R-0002"))
    dialog = dialog_over(qtbot, LabelDialog)
    papers.receipt("book", 17)
    qtbot.wait(50)
    shown = [one for one in QApplication.topLevelWidgets() if type(one) is ReportPaperDialog]
    assert shown == []
    assert isinstance(dialog, LabelDialog)
    dialog.reject()
    second = dialog_over(qtbot, ReportPaperDialog)
    assert isinstance(second, ReportPaperDialog)
    assert second.paper.title == "Receipt L-124"
    hands = window._parts.choosers
    assert isinstance(hands, HandsOff)
    hands.answer = tmp_path / "receipt.pdf"
    click(qtbot, second.pdf_button)
    assert window.notice.words.text() == f"Receipt L-124 was saved as {tmp_path / 'receipt.pdf'}."


def test_papers_come_in_the_order_in_which_they_were_wanted(
    qtbot: QtBot, window: MainWindow
) -> None:
    papers = window._parts.papers
    asked = papers._questions
    is_receipt_told = threading.Event()

    def slow_labels(book: object, tags: Sequence[str]) -> Sequence[TagLabel]:
        assert is_receipt_told.wait(5)
        time.sleep(0.05)
        return asked.tag_labels(book, tags)

    def quick_receipt(book: object, entry: int) -> object:
        is_receipt_told.set()
        return asked.receipt_of(book, entry)

    papers._questions = replace(asked, tag_labels=slow_labels, receipt_of=quick_receipt)
    papers.tags("book", ("R-0001",))
    papers.receipt("book", 17)
    dialog_over(qtbot, LabelDialog).reject()
    dialog_over(qtbot, ReportPaperDialog).reject()


def test_a_paper_of_which_nothing_is_told_does_not_hold_up_the_next(
    qtbot: QtBot, window: MainWindow
) -> None:
    papers = window._parts.papers
    asked = papers._questions

    def no_labels(book: object, tags: Sequence[str]) -> Sequence[TagLabel]:
        raise VaultError("The book is busy.")

    papers._questions = replace(asked, tag_labels=no_labels)
    papers.tags("book", ("R-0001",))
    papers.receipt("book", 17)
    dialog_over(qtbot, ReportPaperDialog).reject()
    assert window.notice.words.text() == "The book is busy."


def test_nothing_is_printed_of_no_book_and_of_no_tags(qtbot: QtBot, window_of: WindowOf) -> None:
    window = window_of(InventedShop())
    window._parts.papers.print_tags(["K-0001"])
    window._parts.papers.tags("book", ())
    qtbot.wait(30)
    assert QApplication.activeModalWidget() is None


def test_days_on_tags_are_written_as_everywhere(qapp: QApplication) -> None:
    label = tag_label("K-0212")
    assert label.made_on == date(2031, 3, 5)
    assert "5 Mar 2031" in words_of(LabelPaper([label], ROLLS[2]))[0]
