"""A settlement against the own estimate, against the sheet, and what a dispute is worth."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from datetime import date
from math import hypot
from pathlib import Path

import pytest

from builders import assayed, mass, priced, received, said, sent, thing
from conftest import Clock
from terms import money
from terms_samples import altered
from vault.application.book import Book
from vault.application.circumstances import own_circumstances, set_circumstances
from vault.application.exchange.write_out import write_out_open
from vault.application.figures import work_out
from vault.application.operations.read_in import read_into
from vault.application.operations.recording import import_entries, new_key
from vault.application.operations.settlement_draft import (
    AgreedDraft,
    BackDraft,
    SettlementDraft,
)
from vault.application.operations.settlements import lot_of, settle_shipment
from vault.application.queries.answers.settlements import SettlementPreview
from vault.application.queries.answers.shipments import Way
from vault.application.queries.settlements import preview_settlement, settlement_help
from vault.application.queries.shipments import NoSuchShipment, shipments
from vault.application.terms_sheets import keep_sheet
from vault.core.circumstances import Value
from vault.core.errors import RuleBroken
from vault.core.items import State
from vault.core.terms_sheets import Basis, Comes
from vault.screens.numbers import Numbers
from vault.store.entries import load_entries

NUMBERS = Numbers()
# 200 kg at 3 ‰: 600 g of silver by the shop's own assays.
CUPELS = [
    thing(f"C-{at}", "spent cupel", "50000", "Ag 3 ± 0.05", how="fire assay") for at in range(4)
]


@pytest.fixture
def book(tmp_path: Path, clock: Clock) -> Iterator[Book]:
    with Book.create(tmp_path / "our.shop", zone="Etc/UTC", clock=clock, operator="Imke") as book:
        import_entries(
            book,
            (
                received(1, *CUPELS),
                priced(2, "Ag", "0.90 EUR"),
                sent(3, "C-0 C-1 C-2 C-3", ref="V-1", terms="by the kilo (version 1)"),
            ),
        )
        keep_sheet(book, replace(altered(party="Lowland"), valid_from=date(2031, 1, 1)))
        work_out(book)
        yield book


def found(grade: str, **more: object) -> SettlementDraft:
    draft = SettlementDraft("V-1", "Lowland", received=mass("200 kg"))
    return replace(draft, agreed=(AgreedDraft(contents=said(grade)),), **more)  # type: ignore[arg-type]  # any field


def looked_at(book: Book, draft: SettlementDraft) -> SettlementPreview:
    return preview_settlement(book, draft, NUMBERS)


def test_what_was_agreed_is_held_against_the_own_estimate_with_its_covariance(book: Book) -> None:
    one = looked_at(book, found("Ag 2.98 ± 0.03")).metals[0]
    assert book.reckoned is not None
    total = book.reckoned.contents.total(["C-0", "C-1", "C-2", "C-3"], "Ag")
    assert one.own is not None
    assert one.own.fine_ug == pytest.approx(total.fine_g * 1e6)
    assert one.agreed.fine_ug == pytest.approx(596e6)
    # By hand: 200 kg at 0.03 ‰ is 6 g; the weight of 200 kg adds a hundredth of that.
    assert one.agreed.u_ug == pytest.approx(6e6, rel=0.01)
    assert one.limit_ug == pytest.approx(2 * hypot(total.u_g, 6.0) * 1e6, rel=0.01)
    assert not one.is_beyond
    assert one.sentence.endswith(f"within the limit of {NUMBERS.roughly(one.limit_ug or 0)}.")


def test_the_limit_says_where_it_is_from_and_is_the_owners_to_set(book: Book) -> None:
    first = looked_at(book, found("Ag 2.98 ± 0.03"))
    assert "2 times the ± of both" in first.limit_words
    assert "US 10 CFR 74" in first.limit_words
    own = own_circumstances(book)
    set_circumstances(book, replace(own, values={"settlement_limit": Value(4.0)}))
    second = looked_at(book, found("Ag 2.98 ± 0.03"))
    assert second.metals[0].limit_ug == pytest.approx(2 * (first.metals[0].limit_ug or 0), rel=1e-6)


def test_drums_that_add_up_are_one_figure(book: Book) -> None:
    halves = tuple(
        AgreedDraft(container=name, gross=mass("100 kg"), contents=said(grade))
        for name, grade in (("drum A", "Ag 2.5"), ("drum B", "Ag 3.5"))
    )
    one = looked_at(book, SettlementDraft("V-1", "Lowland", agreed=halves)).metals[0]
    assert one.agreed.fine_ug == pytest.approx(600e6)


def test_the_sheet_is_reckoned_step_by_step_against_what_was_paid(book: Book) -> None:
    # By hand: 200 kg at 3 ‰ is 600 g; deducted 0.03 ‰ is 6 g; 85 % of 594 g is 504.9 g, at
    # 0.90 − 0.012 EUR 448.35; treatment 200 × 1.50 = 300; one assay 15. Due 133.35.
    draft = found("Ag 3 ± 0.03")
    by_sheet = looked_at(book, draft).by_sheet
    assert by_sheet is not None
    assert [words for words, _ in by_sheet.proposed] == ["Ag paid, 85 %", "treatment", "assays, 1"]
    assert [one for _, one in by_sheet.proposed] == pytest.approx([448.3512, -300.0, -15.0])
    assert by_sheet.due == pytest.approx(133.3512)
    assert by_sheet.paid is None
    paid = (("silver", money("440")), ("treatment", money("-300")), ("assay", money("-15")))
    by_sheet = looked_at(book, replace(draft, amounts=paid)).by_sheet
    assert by_sheet is not None
    assert by_sheet.paid == 125.0
    assert by_sheet.sentence == (
        "By the sheet, at the prices below, 133.35 EUR are due (what you pay on the way "
        "apart); 125.00 EUR were settled, 8.35 EUR less. Compare line by line; first of all the "
        "price on which the metal was settled."
    )


def test_the_sheet_is_tried_at_the_price_last_set_by_the_day_that_the_paper_names(
    book: Book,
) -> None:
    import_entries(book, [priced(8, "Ag", "1.10 EUR")])
    draft = found("Ag 3 ± 0.03")
    # By hand: 504.9 g payable, as above, at the price less 0.012 EUR; less 315 of charges.
    for day, price, told in (
        (
            7,
            0.90,
            "The price of Ag is that of 2 Jan 2031, the last one set here before 7 Jan 2031.",
        ),
        (8, 1.10, "The price of Ag is that of 8 Jan 2031."),
        (
            9,
            1.10,
            "The price of Ag is that of 8 Jan 2031, the last one set here before 9 Jan 2031.",
        ),
    ):
        by_sheet = looked_at(book, replace(draft, priced_on=date(2031, 1, day))).by_sheet
        assert by_sheet is not None
        assert by_sheet.due == pytest.approx(504.9 * (price - 0.012) - 315)
        assert by_sheet.price_words == told
    today = looked_at(book, draft).by_sheet
    assert today is not None
    assert today.price_words.startswith("The price of Ag is that of 8 Jan 2031, the last one set")


def test_where_no_price_was_set_by_that_day_it_is_said(book: Book) -> None:
    by_sheet = looked_at(book, found("Ag 3", priced_on=date(2031, 1, 1))).by_sheet
    assert by_sheet is not None
    assert by_sheet.price_words == (
        "No price of Ag in EUR was set here by 1 Jan 2031: hold theirs against what was quoted on "
        "that day."
    )
    assert by_sheet.due == pytest.approx(-315)
    assert any("not counted" in one for one in by_sheet.steps.left_out)


def test_the_note_and_the_day_of_the_prices_are_kept_also_where_nothing_but_money_is_settled(
    book: Book,
) -> None:
    draft = SettlementDraft(
        "V-1",
        "Lowland",
        amounts=(("silver", money("440")), ("assay", money("-15"))),
        note="by mail",
        priced_on=date(2031, 1, 7),
    )
    settle_shipment(book, draft, key=new_key())
    with book.file.reading() as connection:
        [settling] = load_entries(connection, first=4)
    notes = [line.note for line in settling.entry.lines]
    assert notes == ["silver; prices of 7 Jan 2031; by mail", "assay"]


def test_a_dispute_is_set_against_what_an_umpire_costs(book: Book) -> None:
    dispute = looked_at(book, found("Ag 2 ± 0.02")).dispute
    assert dispute is not None
    assert dispute.sentence.startswith("They found 200 g less silver than you thought, and ")
    # By hand: 200 g × 85 % × (0.90 − 0.012) EUR; an umpire costs 90 EUR by the sheet.
    assert dispute.umpire == (
        "By the sheet two assays no further than 2 ‰ of Ag apart are averaged. In dispute are "
        "150.96 EUR for Ag; an umpire costs 90.00 by the sheet, paid by whoever was "
        "further from it. It can be worth calling one, if the checks above find nothing."
    )
    little = looked_at(book, found("Ag 2.6 ± 0.01")).dispute
    assert little is not None
    assert little.umpire.endswith("That is more than could be won: settle it between you.")


def test_a_dispute_names_what_to_check_first_and_a_text_to_send(book: Book) -> None:
    draft = found("Ag 2 ± 0.02", received=mass("196 kg"))
    dispute = looked_at(book, draft).dispute
    assert dispute is not None
    weights, moisture, sampling, own = dispute.checks
    assert weights.startswith("Weights: They received 4.0 kg (2.0 %) less than the 200.0 kg you")
    assert moisture.startswith("Moisture: ask whether their grades are of the dry weight")
    assert sampling.startswith("Sampling: ")
    assert own.startswith("Your own figures: nothing in the book contradicts itself here.")
    assert "To Lowland" in dispute.letter
    assert "shipment V-1 of 2031-01-03" in dispute.letter.replace("3 Jan 2031", "2031-01-03")
    assert "Please keep the reserve sample" in dispute.letter


def test_a_finding_about_an_item_of_the_shipment_is_the_first_suspect(book: Book) -> None:

    # Two assays of one cupel that cannot both be right, made before the shipment was settled.
    import_entries(book, (assayed(4, "C-2", "Ag 9 ± 0.05"),))
    work_out(book)
    assert book.reckoned is not None
    assert any("C-2" in one.tags for one in book.reckoned.contents.findings)
    dispute = looked_at(book, found("Ag 2 ± 0.02")).dispute
    assert dispute is not None
    assert "C-2" in dispute.checks[-1]
    assert not dispute.checks[-1].startswith("Your own figures: nothing in the book contradicts")


def test_more_than_was_thought_is_no_dispute_but_a_question_to_oneself(book: Book) -> None:
    dispute = looked_at(book, found("Ag 4 ± 0.02")).dispute
    assert dispute is not None
    assert "Nothing is to be disputed" in dispute.sentence
    assert dispute.umpire == ""
    assert dispute.letter == ""


def test_moisture_is_told_and_grades_are_of_the_dry_weight(book: Book) -> None:
    draft = found("Ag 3 ± 0.03", dry=mass("190 kg"))
    preview = looked_at(book, draft)
    assert preview.weight_words.endswith("By the two weights 5.0 % of it was moisture.")
    assert preview.metals[0].agreed.fine_ug == pytest.approx(570e6)
    wet = looked_at(book, found("Ag 3", dry=mass("201 kg")))
    assert wet.weight_words.endswith("check the two weights.")


@pytest.mark.parametrize("basis", list(Basis))
def test_a_grade_of_the_dry_weight_pays_for_the_agreed_metal_whatever_weight_the_sheet_goes_by(
    book: Book, basis: Basis
) -> None:
    kilo = altered(name="by weight", party="Lowland")
    treatment = replace(kilo.treatment, basis=basis)
    keep_sheet(book, replace(kilo, valid_from=date(2031, 1, 1), treatment=treatment))
    import_entries(
        book,
        (
            received(8, thing("D-1", "slag", "200000", "Ag 3"), lot="L-8"),
            sent(9, "D-1", ref="V-2", terms="by weight (version 1)"),
        ),
    )
    work_out(book)
    preview = looked_at(book, replace(found("Ag 3", dry=mass("190 kg")), ref="V-2"))
    assert preview.by_sheet is not None
    # By hand: 190 kg at 3 ‰ is 570 g.
    assert preview.metals[0].agreed.fine_ug == pytest.approx(570e6)
    assert preview.by_sheet.steps.metals[0].content_ug == pytest.approx(570e6, rel=1e-6)


def test_what_the_book_refuses_is_told_before_it_is_recorded(book: Book) -> None:
    preview = looked_at(
        book, replace(found("Ag 3"), agreed=(AgreedDraft("X-9", contents=said("Ag 3")),))
    )
    assert preview.metals == ()
    assert any("X-9" in one for one in preview.refused)
    with pytest.raises(RuleBroken):
        settle_shipment(
            book,
            replace(found("Ag 3"), agreed=(AgreedDraft("X-9", contents=said("Ag 3")),)),
            new_key(),
        )
    assert shipments(book)[0].way is not Way.SETTLED
    with pytest.raises(NoSuchShipment, match="V-9"):
        settlement_help(book, "V-9")


def test_metal_that_came_back_is_a_new_item_of_a_lot_of_its_own(book: Book) -> None:
    back = BackDraft("B-77", "bar", mass("500 g"), said("Ag 999"), "safe")
    draft = found("Ag 3", amounts=(("treatment", money("-300")),), back=(back,), note="by post")
    changes = settle_shipment(book, draft, new_key())
    assert len(changes.entries) == 2
    work_out(book)
    assert book.reckoned is not None
    item = book.reckoned.shop.items["B-77"]
    assert (item.state, item.lot, item.place) == (State.ON_HAND, lot_of("V-1"), "safe")
    assert book.reckoned.shop.lots[lot_of("V-1")].party == "Lowland"
    row = shipments(book)[0]
    assert (row.way, row.settled_by) == (Way.SETTLED, (4,))


def test_a_settlement_recorded_and_written_out_reads_back_the_same(
    book: Book, tmp_path: Path, clock: Clock
) -> None:
    back = BackDraft("B-77", "bar", mass("500 g"), said("Ag 999"), "safe")
    draft = found(
        "Ag 3 ± 0.03",
        dry=mass("190 kg"),
        amounts=(("silver, 85 %", money("440.20")),),
        back=(back,),
    )
    settle_shipment(book, draft, new_key())
    file, twice = tmp_path / "out.csv", tmp_path / "twice.csv"
    write_out_open(book, "daybook", file, _unseen, lambda: False)
    with Book.create(
        tmp_path / "again.shop", zone="Etc/UTC", clock=clock, operator="Imke"
    ) as again:
        assert read_into(again, file, _unseen, lambda: False).faults == ()
        assert shipments(again)[0].way is Way.SETTLED
        write_out_open(again, "daybook", twice, _unseen, lambda: False)
    assert "received 200000 g, dry 190000 g" in file.read_text(encoding="utf-8")
    assert twice.read_bytes() == file.read_bytes()


def _unseen(_done: int, _of: int) -> None:
    """Nobody looks how far it is."""


def test_the_form_is_told_the_currency_and_whether_metal_comes_back(book: Book) -> None:
    helped = settlement_help(book, "V-1")
    assert (helped.currency, helped.returns_metal) == ("EUR", False)
    assert helped.tags == ("C-0", "C-1", "C-2", "C-3")
    metal = replace(altered(name="metal back", party="Lowland"), returns=Comes.METAL)
    keep_sheet(book, replace(metal, valid_from=date(2031, 1, 1)))
    import_entries(
        book,
        (
            received(5, thing("D-1", "slag", "500", "Ag 5"), lot="L-5"),
            sent(6, "D-1", ref="V-2", terms="metal back (version 1)"),
        ),
    )
    assert (settlement_help(book, "V-2").currency, settlement_help(book, "V-2").returns_metal) == (
        "EUR",
        True,
    )


def test_without_a_sheet_it_is_said_that_nothing_can_be_held_against_it(book: Book) -> None:
    import_entries(
        book,
        (
            received(5, thing("D-1", "slag", "500", "Ag 5"), lot="L-5"),
            sent(6, "D-1", ref="V-2", party="Highmoor", terms="by word"),
        ),
    )
    work_out(book)
    draft = SettlementDraft(
        "V-2", "Highmoor", mass("500 g"), agreed=(AgreedDraft(contents=said("Ag 1")),)
    )
    preview = looked_at(book, draft)
    assert preview.by_sheet is None
    assert preview.no_sheet.startswith("The terms sheet “by word” of Highmoor is not kept here")
