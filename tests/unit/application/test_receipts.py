"""A receipt before it is recorded, and the entry that it becomes."""

from __future__ import annotations

import hashlib
from collections.abc import Iterator
from dataclasses import replace
from datetime import UTC, date, datetime
from pathlib import Path

import pytest

from builders import mass, said, thing, when
from conftest import Clock
from vault.application.book import Book
from vault.application.figures import work_out
from vault.application.holds import NO_HOLD, Hold, set_hold
from vault.application.operations.acts import receive_lot
from vault.application.operations.receipt_draft import BagDraft, ReceiptDraft
from vault.application.operations.receipts import draft_of, receive
from vault.application.queries.answers.receive import ReceiptPreview
from vault.application.queries.answers.work import Gravity
from vault.application.queries.lots import lot_detail
from vault.application.queries.receive_help import next_lot, receipt_help
from vault.application.queries.receive_preview import preview_receipt
from vault.core.cautions import CADMIUM, MERCURY
from vault.core.daybook import Act, Terms
from vault.core.errors import RuleBroken
from vault.store.entries import last_number, load_entry
from vault.store.errors import StoreError
from vault.store.photos import folder_of, named_in, photo_faults

FILINGS = BagDraft(
    "R-0001",
    "filings",
    mass("112.5"),
    tare=mass("12.5"),
    contents=said("Ag 925 ± 5"),
    place="shelf 1",
)
SWEEPS = BagDraft("R-0002", "sweeps", mass("400"), place="shelf 1")
LOT = ReceiptDraft("L-0001", "Pennant Bench School", Terms.TOLL, "bench trays", (FILINGS, SWEEPS))


@pytest.fixture
def book(tmp_path: Path, clock: Clock) -> Iterator[Book]:
    with Book.create(
        tmp_path / "shop.shop", zone="Europe/Oslo", operator="Imke", clock=clock
    ) as made:
        yield made


def with_bag(**changed: object) -> ReceiptDraft:
    return replace(LOT, bags=(replace(FILINGS, **changed),))  # type: ignore[arg-type]  # by name


def told(preview: ReceiptPreview, gravity: Gravity) -> list[str]:
    return [one.sentence for one in preview.findings if one.gravity is gravity]


def places(preview: ReceiptPreview) -> set[tuple[int | None, str]]:
    return {(one.bag, one.field) for one in preview.findings}


# --- the entry ----------------------------------------------------------------------------------


def test_what_is_recorded_is_net_of_the_tare_that_stands_beside_it() -> None:
    draft = draft_of(LOT)
    first, second = draft.lines
    assert draft.act is Act.RECEIVE
    assert (first.gross, first.tare) == (mass("100"), mass("12.5"))
    assert (second.gross, second.tare) == (mass("400"), None)
    assert (first.how, second.how) == ("declared", "")
    assert (first.lot, first.party, first.terms) == ("L-0001", "Pennant Bench School", "toll")


def test_the_origin_goes_with_every_bag() -> None:
    lines = draft_of(replace(LOT, bags=(replace(FILINGS, note="jar 3"), SWEEPS))).lines
    assert [one.note for one in lines] == ["jar 3\nbench trays", "bench trays"]


def test_own_metal_has_no_customer() -> None:
    assert draft_of(replace(LOT, terms=Terms.OWN)).lines[0].party == ""


def test_a_hold_cut_short_is_told_in_the_note() -> None:
    held = replace(LOT, hold_until=date(2031, 3, 5), hold_set=date(2031, 3, 15))
    assert draft_of(held).lines[0].hold_until == date(2031, 3, 5)
    assert (
        draft_of(held)
        .lines[0]
        .note.endswith("Held shorter than set: the setting said until 15 Mar 2031.")
    )
    whole = replace(LOT, hold_until=date(2031, 3, 15), hold_set=date(2031, 3, 15))
    assert draft_of(whole).lines[0].note == "bench trays"


def test_a_receipt_is_recorded_as_one_entry_and_once(book: Book) -> None:
    first = receive(book, LOT, "the key")
    again = receive(book, LOT, "the key")
    assert first == again
    assert (first.entries, first.lots) == ((1,), frozenset({"L-0001"}))
    assert first.tags == {"R-0001", "R-0002"}


def test_an_empty_receipt_is_refused_by_the_book(book: Book) -> None:
    with pytest.raises(RuleBroken):
        receive(book, ReceiptDraft(), "the key")


# --- photos -------------------------------------------------------------------------------------

PNG = b"\x89PNG\r\n\x1a\n\x00\x00\x00\rIHDR"


def photo_in(folder: Path, content: bytes = PNG) -> Path:
    file = folder / "bag.png"
    file.write_bytes(content)
    return file


def test_the_photo_of_a_bag_is_kept_and_recorded_with_the_receipt(
    book: Book, tmp_path: Path
) -> None:
    changes = receive(book, with_bag(photo=photo_in(tmp_path)), "the key")
    assert changes.entries == (1, 2)
    assert receive(book, with_bag(photo=photo_in(tmp_path)), "the key") == changes
    with book.file.reading() as connection:
        (named,) = named_in(connection)
        shown = load_entry(connection, 2)
    assert shown is not None
    assert shown.entry.act is Act.PHOTO
    assert shown.entry.lines[0].tag == "R-0001"
    assert shown.entry.lines[0].ref == hashlib.sha256(PNG).hexdigest()
    assert named.tag == "R-0001"
    assert photo_faults(book.path, (named,)) == []


def test_a_refused_receipt_leaves_no_photo_behind(book: Book, tmp_path: Path) -> None:
    receive(book, LOT, "before")
    with pytest.raises(RuleBroken):
        receive(book, with_bag(photo=photo_in(tmp_path)), "the key")
    assert not any(folder_of(book.path).rglob("*.png"))


def test_what_is_no_picture_stops_the_receipt(book: Book, tmp_path: Path) -> None:
    with pytest.raises(StoreError, match="is no picture known here"):
        receive(book, with_bag(photo=photo_in(tmp_path, b"a note")), "the key")
    with book.file.reading() as connection:
        assert last_number(connection) == 0


# --- figures ------------------------------------------------------------------------------------


def test_a_preview_sums_what_is_declared_with_its_doubt(book: Book) -> None:
    preview = preview_receipt(book, LOT)
    silver = preview.declared["Ag"]
    assert silver.fine_ug == mass("92.5").micrograms
    # 100 g at 925 ± 5 ‰: half a gram from the fineness, less than a tenth from the scale.
    assert silver.u_ug is not None
    assert silver.u_ug / 1e6 == pytest.approx(0.5, rel=0.05)
    assert [one.net_ug for one in preview.bags] == [100_000_000, 400_000_000]
    assert (preview.net_ug, preview.not_weighed, preview.silent) == (500_000_000, 0, 1)
    assert preview.bags[0].declared == preview.declared
    assert preview.bags[1].declared == {}
    assert preview.findings == ()
    assert preview.may_be_recorded


def test_a_preview_says_what_the_figures_say_once_it_is_recorded(book: Book) -> None:
    two = replace(LOT, bags=(FILINGS, replace(SWEEPS, contents=said("Ag 40, Au 3 ± 1"))))
    before = preview_receipt(book, two).declared
    receive(book, two, "the key")
    work_out(book)
    after = {one.metal: one.received for one in lot_detail(book, "L-0001").accounts}
    for metal, figure in before.items():
        assert figure.fine_ug == after[metal].fine_ug
        assert figure.u_ug == pytest.approx(after[metal].u_ug, rel=1e-6)


def test_a_bag_without_a_weight_is_left_out_of_the_figures_and_told(book: Book) -> None:
    preview = preview_receipt(book, with_bag(on_scale=None, tare=None))
    assert (preview.not_weighed, dict(preview.declared)) == (1, {})
    assert told(preview, Gravity.WARNS) == [
        "R-0001 has no weight; without a weight its metal cannot be worked out."
    ]
    only_tare = preview_receipt(book, with_bag(on_scale=None))
    assert told(only_tare, Gravity.WARNS)[0].startswith("R-0001 has only a tare;")


# --- findings -----------------------------------------------------------------------------------


def test_an_empty_form_says_what_it_lacks_and_refuses_nothing(book: Book) -> None:
    preview = preview_receipt(book, ReceiptDraft(bags=(BagDraft(),)))
    assert told(preview, Gravity.REFUSES) == []
    assert told(preview, Gravity.LACKS) == [
        "Choose whose metal it is: the customer's, bought, or own.",
        "Give the lot a number.",
        "Say which customer brought it.",
        "Say what is in bag 1: filings, sweeps, scrap …",
    ]
    assert not preview.may_be_recorded


def test_a_bag_whose_tag_was_taken_out_lacks_one(book: Book) -> None:
    assert told(preview_receipt(book, with_bag(tag="")), Gravity.LACKS) == ["Bag 1 has no tag."]


def test_a_receipt_without_a_bag_lacks_one(book: Book) -> None:
    preview = preview_receipt(book, replace(LOT, bags=()))
    assert told(preview, Gravity.LACKS) == ["Add at least one bag."]
    assert told(preview, Gravity.REFUSES) == []


def test_own_metal_needs_no_customer(book: Book) -> None:
    preview = preview_receipt(book, replace(LOT, party="", terms=Terms.OWN))
    assert preview.may_be_recorded


def test_a_tag_that_was_given_before_is_refused(book: Book) -> None:
    receive(book, LOT, "the key")
    preview = preview_receipt(book, replace(LOT, lot="L-0002", bags=(FILINGS,)))
    assert told(preview, Gravity.REFUSES) == [
        "Tag R-0001 was given before; a tag is never given twice, even after a strike."
    ]
    assert places(preview) == {(0, "tag")}


def test_one_tag_on_two_bags_is_refused(book: Book) -> None:
    preview = preview_receipt(book, replace(LOT, bags=(FILINGS, replace(SWEEPS, tag="R-0001"))))
    assert told(preview, Gravity.REFUSES) == ["R-0001 stands in this entry twice; name it once."]
    assert places(preview) == {(1, "tag")}


def test_a_tare_heavier_than_the_whole_is_refused(book: Book) -> None:
    preview = preview_receipt(book, with_bag(tare=mass("200")))
    assert told(preview, Gravity.REFUSES) == [
        (
            "R-0001: the empty bag (200 g) cannot weigh as much as bag and contents "
            "together; check both weights."
        )
    ]
    assert places(preview) == {(0, "tare")}
    assert preview.bags[0].net_ug is None


def test_more_than_pure_metal_is_refused(book: Book) -> None:
    preview = preview_receipt(book, with_bag(contents=said("Ag 925, Au 100")))
    assert told(preview, Gravity.REFUSES) == [
        "The metals of this line add up to 1025.0 ‰, more than pure metal."
    ]
    assert places(preview) == {(0, "contents")}
    assert dict(preview.declared) == {}


def test_a_lot_number_of_another_customer_is_refused_once(book: Book) -> None:
    receive(book, LOT, "the key")
    bags = (replace(FILINGS, tag="R-0003"), replace(SWEEPS, tag="R-0004"))
    other = replace(LOT, party="Fernhill Dental Lab", bags=bags)
    preview = preview_receipt(book, other)
    assert told(preview, Gravity.REFUSES) == [
        (
            "Lot L-0001 was received before, from Pennant Bench School as toll; give this one "
            "a number of its own."
        )
    ]
    assert preview.earlier == "Lot L-0001 was received on 1 Mar 2031 with 2 items."


def test_more_of_the_same_lot_may_come_and_is_told(book: Book) -> None:
    receive(book, LOT, "the key")
    preview = preview_receipt(book, replace(LOT, bags=(replace(FILINGS, tag="R-0003"),)))
    assert preview.may_be_recorded
    assert preview.earlier == "Lot L-0001 was received on 1 Mar 2031 with 2 items."


def test_a_day_before_the_last_entry_is_refused_in_words_of_the_form(book: Book) -> None:
    receive(book, LOT, "the key")
    bags = (replace(FILINGS, tag="R-0003"),)
    preview = preview_receipt(book, replace(LOT, lot="L-2", bags=bags, when=when("2031-02-20")))
    assert told(preview, Gravity.REFUSES) == [
        (
            "The daybook goes up to 1 Mar 2031 already, and takes nothing earlier. Leave “when” "
            "empty, and say in the note when it came."
        )
    ]


@pytest.mark.parametrize(
    ("form", "contents", "words"),
    [
        ("sweeps", "Ag 925", "more than half fine metal is unusual for sweeps"),
        ("scrap", "Au 660", "660 ‰ Au lies near none of the usual marks (375, 585, 750, 916"),
        ("wire", "Ag 700", "700 ‰ Ag lies near none of the usual marks (800, 925, 958, 999)"),
    ],
)
def test_an_unusual_fineness_is_warned_of(book: Book, form: str, contents: str, words: str) -> None:
    preview = preview_receipt(book, with_bag(form=form, contents=said(contents)))
    assert words in " ".join(told(preview, Gravity.WARNS))
    assert preview.may_be_recorded


@pytest.mark.parametrize(
    ("form", "contents"),
    [("scrap", "Au 585, Ag 120"), ("scrap", "Ag 835"), ("filings", "Au 660"), ("sweeps", "Ag 40")],
)
def test_a_usual_fineness_is_not_warned_of(book: Book, form: str, contents: str) -> None:
    preview = preview_receipt(book, with_bag(form=form, contents=said(contents)))
    assert told(preview, Gravity.WARNS) == []


def test_words_of_danger_bring_their_cautions(book: Book) -> None:
    solder = replace(FILINGS, note="offcuts with solder")
    preview = preview_receipt(book, replace(LOT, origin="dental residues", bags=(solder, SWEEPS)))
    assert preview.cautions == (MERCURY, CADMIUM)
    assert preview_receipt(book, LOT).cautions == ()


# --- the hold -----------------------------------------------------------------------------------


def test_without_a_setting_there_is_no_hold_and_a_sentence_says_so(book: Book) -> None:
    preview = preview_receipt(book, LOT)
    assert (preview.hold_ends, preview.hold_words, preview.hold_question) == (None, NO_HOLD, "")


def test_a_hold_is_proposed_and_a_sooner_day_asked_about(book: Book) -> None:
    set_hold(book, Hold(14, "Fjordvik", "licence"))
    preview = preview_receipt(book, replace(LOT, hold_until=date(2031, 3, 15)))
    assert preview.hold_ends == date(2031, 3, 15)
    assert preview.hold_words == "Held 14 days from the day of receipt (Fjordvik; licence)."
    assert preview.hold_question == ""
    early = preview_receipt(book, replace(LOT, hold_until=date(2031, 3, 10)))
    assert "Record a hold until 10 Mar 2031 instead?" in early.hold_question


def test_a_hold_that_is_not_for_these_terms_is_not_proposed(book: Book) -> None:
    set_hold(book, Hold(14, "Fjordvik", "licence", terms=frozenset({Terms.BOUGHT})))
    preview = preview_receipt(book, LOT)
    assert preview.hold_ends is None
    assert preview.hold_words == "The hold set here is not for a lot on these terms (toll)."
    assert preview.hold_question == ""


# --- help ---------------------------------------------------------------------------------------


def test_the_first_lot_has_the_first_number(book: Book) -> None:
    assert next_lot(book) == "L-0001"


@pytest.mark.parametrize(
    ("lots", "proposed"),
    [
        (["L-0099"], "L-0100"),
        (["Spring"], "L-0001"),
        (["2031/7", "by hand"], "2031/8"),
        (["L-2", "L-1"], "L-3"),
    ],
)
def test_the_next_lot_comes_after_the_last_that_has_a_number(
    book: Book, lots: list[str], proposed: str
) -> None:
    for place, lot in enumerate(lots):
        items = [thing(f"R-{place}", "scrap", "10")]
        receive_lot(book, items, lot=lot, terms=Terms.OWN, key=lot)
    assert next_lot(book) == proposed


def test_the_form_is_told_the_names_of_the_book_and_the_time(book: Book) -> None:
    receive(book, LOT, "the key")
    known = receipt_help(book)
    assert known.next_lot == "L-0002"
    assert known.parties == ("Pennant Bench School",)
    assert known.places == ("shelf 1",)
    assert known.forms[:2] == ("filings", "sweeps")
    assert known.place_of["filings"] == "shelf 1"
    assert known.now.astimezone(UTC) == datetime(2031, 3, 1, 8, 0, tzinfo=UTC)
    assert str(known.now.tzinfo) == "Europe/Oslo"
