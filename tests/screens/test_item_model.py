"""The model of the item table, asked as Qt asks it."""

from __future__ import annotations

from array import array

import pytest
from hypothesis import given
from hypothesis import strategies as st
from PySide6.QtCore import Qt
from PySide6.QtWidgets import QApplication
from pytestqt.modeltest import ModelTester
from pytestqt.qtbot import QtBot

from screens.invented import TODAY, InventedShop, few_items, many_items
from vault.application.queries.answers.items import (
    GroupBy,
    ItemGroup,
    ItemIndex,
    ItemQuery,
    Showing,
    SortBy,
)
from vault.core.knowledge import How
from vault.screens.house_style import HouseStyle
from vault.screens.models.item_model import ItemModel
from vault.screens.models.pages import PAGE
from vault.screens.models.roles import CELL_ROLE
from vault.screens.safe.screen import first_page


def model_of(shop: InventedShop, query: ItemQuery | None = None) -> ItemModel:
    model = ItemModel(HouseStyle())
    page = first_page(shop.questions(), "book", query or ItemQuery(), bool)
    model.show_index(page.index, page.rows, page.today)
    return model


def text(model: ItemModel, row: int, title: str) -> str:
    titles = [column.title for column in model.columns]
    return str(model.index(row, titles.index(title)).data())


def test_headings_stand_before_their_items(qapp: QApplication) -> None:
    model = model_of(InventedShop())
    headings = [row for row in range(model.rowCount()) if model.is_heading(row)]
    assert headings == [0, 5, 10]
    told = model.index(0, 0).data(CELL_ROLE).heading
    assert told.startswith("drum C  ·  4 items  ·  1\u202f171.0 g  ·  Ag 21.10 ± 0.11 g")
    assert told.endswith("1 not weighed")
    assert model.item_at(0) is None
    assert text(model, 1, "Tag") == "C-0162"


@given(st.lists(st.integers(1, 9), min_size=1, max_size=30))
def test_every_item_is_in_one_row_and_found_there(sizes: list[int]) -> None:
    model = ItemModel(HouseStyle())
    ids = array("q", range(1000, 1000 + sum(sizes)))
    groups = tuple(ItemGroup(str(at), size, 0, 0, {}) for at, size in enumerate(sizes))
    model.show_index(ItemIndex(ItemQuery(), groups, memoryview(ids), ()), (), TODAY)
    rows = [model.row_of_id(one) for one in ids]
    expected = [row for row in range(model.rowCount()) if not model.is_heading(row)]
    assert rows == expected
    assert model.rowCount() == sum(sizes) + len(sizes)


def test_grouped_by_nothing_has_no_headings(qapp: QApplication) -> None:
    model = model_of(InventedShop(), ItemQuery(group_by=GroupBy.NOTHING))
    assert model.rowCount() == 11
    assert not model.is_heading(0)
    assert text(model, 0, "Tag") == "B-0028"


def test_cells_say_what_is_known_and_how(qapp: QApplication) -> None:
    model = model_of(InventedShop(), ItemQuery(group_by=GroupBy.NOTHING, showing=Showing.ALL))
    row_of = {model.item_at(row).tag: row for row in range(model.rowCount())}  # all are loaded
    silver = next(at for at, one in enumerate(model.columns) if one.title == "Ag fine")
    how = {tag: model.index(row, silver).data(CELL_ROLE).how for tag, row in row_of.items()}
    assert how["B-0031"] is How.ASSAYED
    assert how["B-0029"] is How.WORKED_OUT
    assert how["K-0207"] is How.DECLARED
    assert how["C-0162"] is How.NOT_KNOWN
    assert text(model, row_of["C-0162"], "Ag fine") == "not known"
    assert text(model, row_of["B-0031"], "Au fine") == "–"
    assert text(model, row_of["B-0031"], "Lots") == "L-118, L-121 +1"
    assert text(model, row_of["B-0031"], "Whose") == "ours 62 %"
    assert text(model, row_of["S-0049"], "Weight") == "not weighed"
    assert text(model, row_of["K-0201"], "What it is") == "button, used up in work"
    assert text(model, row_of["K-0201"], "Place") == "no place noted"


@pytest.mark.parametrize(
    ("group_by", "left_out"), [(GroupBy.PLACE, "Place"), (GroupBy.OWNER, "Whose")]
)
def test_what_the_headings_say_has_no_column(
    qapp: QApplication, group_by: GroupBy, left_out: str
) -> None:
    model = model_of(InventedShop(), ItemQuery(group_by=group_by))
    assert left_out not in [column.title for column in model.columns]


def test_the_title_of_the_sorted_column_carries_an_arrow(qapp: QApplication) -> None:
    query = ItemQuery(sort_by=SortBy.FINE, sort_metal="Au", descending=True)
    model = model_of(InventedShop(), query)
    titles = [model.headerData(at, Qt.Orientation.Horizontal) for at in range(model.columnCount())]
    assert [title for title in titles if "↓" in str(title) or "↑" in str(title)] == ["Au fine ↓"]


def test_only_pages_that_are_seen_are_asked_for(qtbot: QtBot, qapp: QApplication) -> None:
    shop = InventedShop(rows=many_items(3000))
    model = model_of(shop, ItemQuery(group_by=GroupBy.NOTHING))
    wanted: list[array[int]] = []
    model.rows_wanted.connect(wanted.append)
    assert text(model, 0, "Tag") == "X-000001"
    assert text(model, 2000, "Tag") == "…"
    qtbot.waitUntil(lambda: len(wanted) == 1)
    assert [len(one) for one in wanted] == [PAGE]
    model.take_rows(shop.item_rows("book", wanted[0]))
    assert text(model, 2000, "Tag") == "X-002001"


def test_rows_are_copied_as_text_with_tabs(qapp: QApplication) -> None:
    model = model_of(InventedShop())
    assert model.words_of_row(0) == ""
    assert model.words_of_row(1).split("\t")[:3] == ["C-0162", "spent cupel", "391.00 g"]


def test_it_keeps_the_rules_of_a_qt_model(qapp: QApplication, qtmodeltester: ModelTester) -> None:
    model = model_of(InventedShop(rows=few_items()))
    qtmodeltester.check(model)
    model.clear()
    assert model.rowCount() == 0
