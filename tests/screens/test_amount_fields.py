"""Texts of amounts, parts and whole sheets in fields read back as exactly what they stand for."""

from __future__ import annotations

from collections.abc import Callable
from datetime import date
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st
from PySide6.QtCore import Qt
from pytestqt.qtbot import QtBot

from screens.holding import write
from terms import grade, money
from terms_samples import SHEET
from vault.application.exchange.terms_text import sheets_from_text
from vault.core.fineness import WHOLE_PPB, Fineness, typed_part
from vault.core.masses import GREATEST_UG, Mass, mass_from_text
from vault.core.money import Money
from vault.core.rates import typed_money
from vault.screens.house_style import HouseStyle
from vault.screens.look import LIGHT
from vault.screens.numbers import Numbers
from vault.screens.terms_sheets.form import SheetForm
from vault.screens.terms_sheets.texts import mass_text, texts_of
from vault.screens.widgets.amount_fields import (
    CountField,
    MoneyField,
    PartField,
    money_text,
    part_text,
)
from vault.screens.widgets.fields import Field

DEMO = Path(__file__).resolve().parents[2] / "demo_db" / "terms.json"
MARKS = st.sampled_from([".", ","])


@given(st.integers(0, WHOLE_PPB).map(Fineness), MARKS)
def test_a_part_reads_back_as_it_was_written(part: Fineness, mark: str) -> None:
    assert typed_part(part_text(part, mark), decimal_mark=mark) == part


@pytest.mark.parametrize(
    ("share", "text"),
    [
        ("0.85", "85 %"),
        ("0.002", "2 ‰"),
        ("0.0005", "0.5 ‰"),
        ("0.00003", "30 g/t"),
        ("0", "0 g/t"),
    ],
)
def test_a_part_is_written_in_the_unit_that_papers_use(share: str, text: str) -> None:
    assert part_text(grade(share), ".") == text


@given(st.integers(0, 10**15), MARKS)
def test_an_amount_reads_back_as_it_was_written(millionths: int, mark: str) -> None:
    amount = Money(millionths, "EUR")
    assert typed_money(money_text(amount, mark), "EUR", decimal_mark=mark) == amount


def test_an_amount_with_cents_has_both() -> None:
    texts = [money_text(money(one), ",") for one in ("30", "1.5", "0.012", "0.016075")]
    assert texts == ["30", "1,50", "0,012", "0,016075"]


@given(st.integers(1, GREATEST_UG).map(Mass), MARKS)
def test_a_mass_reads_back_as_it_was_written(mass: Mass, mark: str) -> None:
    assert mass_from_text(mass_text(mass, mark), decimal_mark=mark) == mass


@pytest.mark.parametrize("mark", [".", ","])
def test_every_sheet_of_the_demonstration_stands_in_the_form_as_it_is_kept(
    qtbot: QtBot, mark: str
) -> None:
    style = HouseStyle(LIGHT, Numbers(decimal_mark=mark))
    form = SheetForm(style, lambda: date(2031, 3, 14))
    qtbot.addWidget(form)
    sheets = sheets_from_text(DEMO.read_text(encoding="utf-8"))
    for one in (*sheets, SHEET):
        texts = texts_of(one, mark)
        form.write(texts, is_kept=True)
        assert form.texts() == texts
        read = form.sheet()
        assert read is not None
        assert texts_of(read, mark) == texts
        assert (read.metals, read.fees) == (one.metals, one.fees)


FIELDS: dict[str, Callable[[HouseStyle], Field]] = {
    "part": lambda style: PartField("part", style),
    "money": lambda style: MoneyField("money", style),
    "count": lambda _: CountField("count"),
}


@pytest.mark.parametrize("name", FIELDS)
def test_an_empty_field_says_nothing_and_wants_nothing(
    qtbot: QtBot, style: HouseStyle, name: str
) -> None:
    field = FIELDS[name](style)
    qtbot.addWidget(field)
    assert field.read() is None
    assert field.trouble() == ""


def test_a_charge_typed_for_another_weight_is_told_for_the_one_that_is_kept(
    qtbot: QtBot, style: HouseStyle
) -> None:
    field = MoneyField("charge", style, per="kg")
    field.currency = "USD"
    qtbot.addWidget(field)
    field.show()
    write(field.line, "$5.00/lb")
    qtbot.keyClick(field.line, Qt.Key.Key_Return)
    # 5 / 0.45359237, the pound of NIST Handbook 44, Appendix C.
    assert field.money() == money("11.023113", "USD")
    assert field.said_of_it.text == "11.023113 for 1 kg"


def test_what_cannot_be_read_is_none(qtbot: QtBot, style: HouseStyle) -> None:
    amount, part = MoneyField("money", style), PartField("part", style)
    for field in (amount, part):
        qtbot.addWidget(field)
        field.write("a few")
    assert amount.money() is None
    assert part.part() is None
