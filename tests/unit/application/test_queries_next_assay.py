"""What to sample next: held against reckoning the book again with the assay in it."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import replace
from datetime import UTC, datetime
from math import pi, sqrt
from pathlib import Path

import pytest

from builders import assayed, received, thing, worked
from simulation.shops import SCENARIOS, simulated
from terms import fees, pays, sheet
from vault.application.book import Book
from vault.application.figures import work_out
from vault.application.operations import acts
from vault.application.operations.recording import import_entries
from vault.application.queries.answers.residues import NextAssay, ToSample
from vault.application.queries.next_assay import next_assay
from vault.application.terms_sheets import keep_sheet
from vault.core.daybook import Entry, Role
from vault.core.flow import flow_of
from vault.core.items import State
from vault.core.money import Money
from vault.reckoning.circumstances import usual
from vault.reckoning.guesses import sampling_constant
from vault.reckoning.reckoner import reckon
from vault.reckoning.samples import sample_cost, share_u

# More than half a year after the last work, so that nothing is made any more.
LATER = datetime(2032, 6, 1, tzinfo=UTC)
PRICE = 5
DRUMS = {"slag": "drum D", "spent cupel": "drum C"}


def put_in_drums(entries: list[Entry]) -> list[Entry]:
    """Give entries in which every residue lies in the drum of its form from the start."""
    return [
        replace(
            one,
            lines=tuple(
                replace(line, place=DRUMS.get(line.form, "")) if line.role is Role.MADE else line
                for line in one.lines
            ),
        )
        for one in entries
    ]


@pytest.fixture(scope="module")
def book(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Book]:
    """A simulated shop with its slag in one drum and its cupels in another."""
    path = tmp_path_factory.mktemp("sampled") / "our.shop"
    with Book.create(path, zone="UTC", operator="Imke") as made:
        import_entries(made, put_in_drums(simulated(SCENARIOS[0], 12).entries))
        work_out(made)
        yield made


def asked(book: Book) -> NextAssay:
    found = next_assay(book, "Ag")
    assert found is not None
    return found


def doubt_with(book: Book, *more: Entry, metal: str = "Ag") -> float:
    """Reckon the book with some more entries, and give the ± of its residues in grams."""
    assert book.reckoned is not None
    shop = book.reckoned.shop.after(more)
    residues = [
        item.tag for item in shop.items.values() if item.is_residue and item.state is State.ON_HAND
    ]
    return reckon(flow_of(shop)).total(residues, metal).u_g


def residues_of(book: Book) -> list[tuple[str, str]]:
    """Give tag and form of every residue on hand."""
    assert book.reckoned is not None
    items = book.reckoned.shop.items.values()
    return [(one.tag, one.form) for one in items if one.is_residue and one.state is State.ON_HAND]


def in_drum(book: Book, one: ToSample) -> list[str]:
    """Give the tags of what would be blended."""
    return [tag for tag, form in residues_of(book) if DRUMS[form] == one.place]


def test_a_whole_drum_is_offered_and_its_gain_is_what_a_blend_and_an_assay_give(
    book: Book,
) -> None:
    found = asked(book)
    assert found.before.u_ug == pytest.approx(1e6 * doubt_with(book), rel=1e-6)
    assert [one.place for one in found.samples if not one.tag], "a drum is worth more than a thing"
    entries = []
    assert book.reckoned is not None
    contents, number = book.reckoned.contents, book.reckoned.shop.last_number
    for one in found.samples:
        tags = in_drum(book, one)
        gross = float(contents.gross_g[contents.places(tags)].sum())
        fine = contents.total(tags, "Ag").fine_g
        says = f"Ag {1000 * fine / gross:.6f} ± {1000 * one.share_u * fine / gross:.6f}"
        blend = f"X-{one.place}"
        entries.append(
            worked(number + 1, "blend", used=tags, made=[thing(blend, one.form, f"{gross:.6f}")])
        )
        entries.append(assayed(number + 2, blend, says, how="ICP"))
        number += 2
    # Blending loses a little that sampling in thought does not, and a lot is split anew.
    assert 1e6 * doubt_with(book, *entries) == pytest.approx(found.after.u_ug, rel=0.05)


def test_no_single_thing_that_is_really_assayed_gains_more_for_its_cost(book: Book) -> None:
    found, costs = asked(book), usual("", {})
    assert costs.sampling is not None
    assert book.reckoned is not None
    contents, number = book.reckoned.contents, book.reckoned.shop.last_number + 1
    before, after = found.before.u_ug or 0, found.after.u_ug or 0
    weights = [
        float(contents.gross_g[contents.places(in_drum(book, it))].sum()) for it in found.samples
    ]
    spent = sum(sample_cost(costs.sampling, costs.wage_per_hour, one) for one in weights)
    best = (before - after) / 1e6 / spent
    for tag, form in residues_of(book):
        content, gross = contents.of(tag)["Ag"], float(contents.gross_g[contents.place_of[tag]])
        if not content.determinable:
            continue
        u = share_u(costs.sampling, sampling_constant(form), gross) * max(
            abs(content.fine_g), content.u_g
        )
        says = f"Ag {1000 * max(content.fine_g, 0.0) / gross:.6f} ± {1000 * u / gross:.6f}"
        gain = before / 1e6 - doubt_with(book, assayed(number, tag, says, how="ICP"))
        assert gain / sample_cost(costs.sampling, costs.wage_per_hour, gross) < best


def test_nothing_is_offered_before_the_figures_stand_or_of_a_metal_that_nobody_named(
    tmp_path: Path, book: Book
) -> None:
    assert next_assay(book, "Pt") is None
    with Book.create(tmp_path / "new.shop", zone="UTC") as made:
        assert next_assay(made, "Ag") is None


@contextmanager
def dusty_book(folder: Path) -> Iterator[Book]:
    """One cupel of which something is known, and dust of which nothing is."""
    dust = [thing("D-1", "dust", "120", place="tin 5"), thing("D-2", "dust", place="tin 5")]
    with Book.create(
        folder / "dusty.shop", zone="UTC", operator="Imke", clock=lambda: LATER
    ) as made:
        import_entries(
            made,
            [
                received(1, *dust, lot="L-1", terms="own", party=""),
                received(2, thing("R-1", "filings", "500", "Ag 600 ± 6"), lot="L-2"),
                worked(
                    3,
                    "cupel",
                    used="R-1",
                    added=[thing("", "lead", "900"), thing("", "new cupel", "1500")],
                    made=[
                        thing("K-1", "bead", "299"),
                        thing("C-1", "spent cupel", "2400", place="drum C"),
                    ],
                ),
            ],
        )
        yield made


@pytest.fixture
def dusty(tmp_path: Path) -> Iterator[Book]:
    with dusty_book(tmp_path) as made:
        work_out(made)
        yield made


def test_what_nobody_knows_is_named_and_changes_no_figure(dusty: Book) -> None:
    found = asked(dusty)
    assert found.not_known == (("tin 5", "dust"),)
    [one] = found.samples
    # Alone in its drum it is named by its own tag.
    assert (one.tag, one.items, one.place) == ("C-1", 1, "drum C")


def test_where_the_last_cupel_was_assayed_no_assay_helps_much(dusty: Book) -> None:
    import_entries(dusty, [assayed(4, "C-1", "Ag 1.2 ± 0.005", how="ICP")])
    work_out(dusty)
    found = asked(dusty)
    assert found.samples == ()
    assert found.after == found.before


def test_what_the_sample_costs_and_is_worth_for_the_decision_is_told_in_money(
    tmp_path: Path,
) -> None:
    """One sheet with a fixed charge of what the metal is worth: send or keep hangs on the content.

    With s the spread of the estimate after the sample, the loss avoided is p·s·φ(0): the unit
    normal loss at nothing (H. Raiffa, R. Schlaifer 1961, from memory).
    """
    with dusty_book(tmp_path) as made:
        work_out(made)
        assert (asked(made).currency, asked(made).worth) == ("", None)
        acts.set_prices(made, [("Ag", Money(PRICE * 1_000_000, "EUR"))], key="price")
        work_out(made)
        assert asked(made).worth is None, "no terms are kept"
        assert made.reckoned is not None
        known = made.reckoned.contents.of("C-1")["Ag"]
        fixed = round(PRICE * known.fine_g, 2)
        keep_sheet(made, sheet(pays("Ag", 1.0), charges=fees(freight=fixed)))
        found = asked(made)
    assert (found.currency, [one.tag for one in found.samples]) == ("EUR", ["C-1"])
    costs = usual("", {})
    assert costs.sampling is not None
    spent = sample_cost(costs.sampling, costs.wage_per_hour, 2400.0)
    assert found.cost == pytest.approx(spent)
    before, after = (one.u_ug or 0 for one in (found.before, found.after))
    spread = sqrt(before**2 - after**2) / 1e6
    assert found.worth == pytest.approx(PRICE * spread / sqrt(2 * pi), rel=0.1)


def test_where_the_decision_is_plain_a_sample_is_worth_nothing(tmp_path: Path) -> None:
    with dusty_book(tmp_path) as made:
        acts.set_prices(made, [("Ag", Money(PRICE * 1_000_000, "EUR"))], key="price")
        keep_sheet(made, sheet(pays("Ag", 1.0), charges=fees(freight=5_000)))
        work_out(made)
        assert asked(made).worth == pytest.approx(0.0, abs=0.01)
