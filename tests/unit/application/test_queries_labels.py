"""What stands on tags, on the example daybook."""

from __future__ import annotations

from datetime import date

from vault.application.book import Book
from vault.application.queries.labels import tag_labels
from vault.bench.tags import symbol_of
from vault.core.cautions import LEAD_LABEL, MERCURY_LABEL, label_cautions_for
from vault.store.tags import RESIDUES_IN, residues_in


def test_a_bar_says_what_it_is_and_where_it_came_from(example: Book) -> None:
    [label] = tag_labels(example, ["B-0001"])
    assert (label.form, label.made_on, label.lots) == ("bar", date(2031, 3, 5), ("L-001",))
    assert label.symbol == symbol_of(f"B0001{label.check}")
    assert label.kept_since is None
    assert label.cautions == ()


def test_what_a_customer_brought_is_told_from_what_was_made(example: Book) -> None:
    told = [label.is_received for label in tag_labels(example, ["R-0001", "R-0003", "drum D"])]
    assert told == [True, False, False]


def test_a_spent_cupel_says_since_when_and_warns_of_lead(example: Book) -> None:
    [label] = tag_labels(example, ["C-0001"])
    assert label.kept_since == date(2031, 3, 3)
    assert label.cautions == (LEAD_LABEL,)


def test_a_container_says_since_when_residues_lie_in_it(example: Book) -> None:
    drum, empty = tag_labels(example, ["drum D", "drum Z"])
    assert (drum.form, drum.made_on, drum.kept_since) == ("container", None, date(2031, 3, 2))
    assert (drum.symbol, drum.check) == (symbol_of("drum D"), "")
    assert (empty.form, empty.kept_since) == ("container", None)


def test_labels_come_in_the_order_asked_for(example: Book) -> None:
    tags = ["S-0002", "A-0001", "B-0001", "S-0002"]
    assert [label.tag for label in tag_labels(example, tags)] == tags


def test_a_label_warns_of_lead_first_and_of_mercury() -> None:
    assert label_cautions_for(["slag", "dust"], "from a dental lab") == (LEAD_LABEL, MERCURY_LABEL)
    assert label_cautions_for(["bar"]) == ()


def test_residues_of_a_container_are_found_by_their_place(example: Book) -> None:
    """Asked in the other way every item of the book is looked at, 0.14 s at a million of them."""
    with example.file.reading() as connection:
        residues_in(connection, "drum D", ["blend"])
        plan = connection.exec_driver_sql(f"EXPLAIN QUERY PLAN {RESIDUES_IN}", ("drum D",)).all()
    assert "item_by_state_place" in plan[0][3]
