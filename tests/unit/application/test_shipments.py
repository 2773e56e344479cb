"""Making up a shipment: what goes, what it weighs and holds, what is refused, what is recorded."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from datetime import date
from pathlib import Path

import pytest

from builders import day, mass, moved, received, sealed, sent, thing, weighed, when, worked
from conftest import Clock
from terms_samples import altered
from vault.application.book import Book
from vault.application.figures import work_out
from vault.application.operations.recording import KeyUsedBefore, import_entries, new_key
from vault.application.operations.shipment_draft import DrumDraft, ShipmentDraft
from vault.application.operations.shipments import send_shipment
from vault.application.queries.answers.shipments import PackedRow, ShipmentPreview
from vault.application.queries.answers.work import Gravity
from vault.application.queries.shipment_help import shipment_help
from vault.application.queries.shipment_preview import preview_shipment
from vault.application.terms_sheets import keep_sheet
from vault.core.cautions import LEAD, TRANSPORT
from vault.core.daybook import Act, Entry, Role
from vault.core.errors import RuleBroken
from vault.core.rules import faults_of
from vault.core.shop import Shop
from vault.store.entries import load_entries, load_shop

CUPELS = [f"C-{at}" for at in range(1, 5)]
BOOK = (
    received(1, *(thing(tag, "spent cupel", "1000", "Ag 2", place="drum C") for tag in CUPELS[:3])),
    received(
        2,
        thing("C-4", "spent cupel", "", place="tin"),
        thing("B-1", "bar", "50", "Ag 900", place="drum D"),
        thing("S-1", "slag", "500", "Ag 5", place="drum D"),
        thing("S-2", "slag", "400", "Ag 3", place="shelf"),
        lot="L-2",
    ),
    moved(3, "tin", "drum C"),
)
DRUM_C = DrumDraft("drum C", on_scale=mass("3.2 kg"), tare=mass("200 g"), scale="floor scale")
READY = ShipmentDraft(
    ref="V-1",
    party="Lowland",
    terms="by the kilo",
    drums=(DRUM_C,),
    tags=("S-2",),
    note="tail lift",
)


@pytest.fixture
def book(tmp_path: Path, clock: Clock) -> Iterator[Book]:
    with Book.create(tmp_path / "our.shop", zone="Etc/UTC", clock=clock, operator="Imke") as book:
        import_entries(book, BOOK)
        work_out(book)
        yield book


def told(preview: ShipmentPreview, gravity: Gravity = Gravity.WARNS) -> list[str]:
    return [one.sentence for one in preview.findings if one.gravity is gravity]


def row_named(preview: ShipmentPreview, name: str) -> PackedRow:
    (row,) = (one for one in preview.rows if one.name == name)
    return row


def recorded(book: Book) -> list[Entry]:
    with book.file.reading() as connection:
        return [one.entry for one in load_entries(connection)]


def filled(book: Book, draft: ShipmentDraft) -> ShipmentDraft:
    """Give a draft with the tags that the preview found in its containers."""
    rows = {one.name: one.tags for one in preview_shipment(book, draft).rows}
    drums = tuple(replace(one, tags=rows[one.name]) for one in draft.drums)
    return replace(draft, drums=drums)


# --- what goes ----------------------------------------------------------------------------------


def test_a_container_goes_with_all_residues_that_lie_in_it_through_any_depth(book: Book) -> None:
    preview = preview_shipment(book, READY)
    drum = row_named(preview, "drum C")
    assert drum.tags == ("C-1", "C-2", "C-3", "C-4")
    assert drum.forms == (("spent cupel", 4),)
    assert (drum.book_ug, drum.not_weighed) == (3_000_000_000, 1)
    assert (drum.shipped_ug, drum.tare_ug) == (3_000_000_000, 200_000_000)
    assert (preview.items, preview.weight_ug, preview.not_weighed) == (5, 3_400_000_000, 0)
    assert preview.findings[0].gravity is Gravity.WARNS


def test_the_own_estimate_carries_the_covariance_of_all_that_goes(book: Book) -> None:
    assert book.reckoned is not None
    preview = preview_shipment(book, READY)
    total = book.reckoned.contents.total([*CUPELS, "S-2"], "Ag")
    assert preview.own["Ag"].fine_ug == pytest.approx(total.fine_g * 1e6, abs=10)
    assert preview.own["Ag"].u_ug == pytest.approx(total.u_g * 1e6, abs=2)
    drum = book.reckoned.contents.total(CUPELS, "Ag")
    assert row_named(preview, "drum C").contents["Ag"].u_ug == pytest.approx(drum.u_g * 1e6, abs=2)
    assert preview.not_known == 1
    assert row_named(preview, "drum C").not_known == 1
    assert not preview.stale


def test_what_was_recorded_after_the_figures_is_said_to_be_in_none_of_them(book: Book) -> None:
    import_entries(
        book, [received(4, thing("C-9", "spent cupel", "10", place="drum C"), lot="L-9")]
    )
    assert preview_shipment(book, READY).stale
    book.reckoned = None
    bare = preview_shipment(book, READY)
    assert bare.stale
    assert bare.own == {}


def test_what_is_no_residue_stays_in_its_container_and_is_named(book: Book) -> None:
    draft = replace(READY, drums=(DrumDraft("drum D"),), tags=())
    preview = preview_shipment(book, draft)
    assert row_named(preview, "drum D").tags == ("S-1",)
    assert (
        "In drum D 1 thing stays (no residue of a work): B-1. What goes as well is scanned by "
        "itself."
    ) in told(preview)
    weighed_too = replace(draft, drums=(DrumDraft("drum D", on_scale=mass("700 g")),))
    assert told(preview_shipment(book, weighed_too), Gravity.REFUSES) == [
        (
            "A part of drum D stays, so it is neither weighed nor sealed as a whole here; put what "
            "goes into a container of its own first."
        )
    ]


def test_one_form_of_a_container_can_go_and_the_rest_stays(book: Book) -> None:
    import_entries(book, [received(4, thing("S-9", "slag", "10", place="drum C"), lot="L-9")])
    draft = replace(READY, drums=(DrumDraft("drum C", form="slag"),), tags=())
    preview = preview_shipment(book, draft)
    assert row_named(preview, "drum C").tags == ("S-9",)
    assert any("In drum C 4 things stay (only slag goes): C-1" in one for one in told(preview))


def test_an_item_named_twice_goes_once(book: Book) -> None:
    preview = preview_shipment(book, replace(READY, tags=("C-1", "S-2")))
    assert preview.items == 5
    assert [one.name for one in preview.rows] == ["drum C", "S-2"]


# --- weights and seals --------------------------------------------------------------------------


def test_a_container_weighed_before_keeps_that_weight_until_something_goes_in(book: Book) -> None:
    import_entries(book, [weighed(4, "drum C", "3005")])
    draft = replace(READY, drums=(DrumDraft("drum C"),))
    drum = row_named(preview_shipment(book, draft), "drum C")
    assert drum.shipped_ug == 3_005_000_000
    assert drum.weighed_on == date(2031, 1, 4)
    assert not drum.is_stale
    import_entries(book, [moved(5, "S-1", "tin", on="2031-01-05")])
    preview = preview_shipment(book, draft)
    assert row_named(preview, "drum C").is_stale
    assert any("since it was weighed on 4 Jan 2031; weigh it again" in one for one in told(preview))


def test_the_scale_is_held_against_the_weights_of_the_single_items(book: Book) -> None:
    draft = replace(READY, drums=(replace(DRUM_C, on_scale=mass("3.4 kg")),), tags=())
    import_entries(book, [weighed(4, "C-4", "100")])
    gap = "The scale says 100 g more than the 4 things in drum C weighed by themselves (3100 g)."
    assert any(one.startswith(gap) for one in told(preview_shipment(book, draft)))
    level = replace(draft, drums=(replace(DRUM_C, on_scale=mass("3.301 kg")),))
    assert not any("The scale says" in one for one in told(preview_shipment(book, level)))


def test_a_container_lighter_than_its_tare_is_refused(book: Book) -> None:
    draft = replace(READY, drums=(replace(DRUM_C, tare=mass("3.2 kg")),))
    assert "Empty, drum C would weigh as much as full; check the two weights." in told(
        preview_shipment(book, draft), Gravity.REFUSES
    )


def test_a_container_without_weight_or_seal_is_told(book: Book) -> None:
    import_entries(book, [sealed(4, "drum D", "0412")])
    warned = told(
        preview_shipment(book, replace(READY, drums=(DrumDraft("drum C"),), tags=("C-4",)))
    )
    assert (
        "drum C was not weighed as a whole; the papers then give its weight by the book." in warned
    )
    assert any(one.startswith("drum C leaves without a seal") for one in warned)
    with_seal = preview_shipment(book, replace(READY, drums=(DrumDraft("drum D"),)))
    assert row_named(with_seal, "drum D").seal == "0412"
    assert not any("without a seal" in one for one in told(with_seal))


# --- what is lacking or refused -----------------------------------------------------------------


def test_an_empty_form_says_what_it_wants(book: Book) -> None:
    preview = preview_shipment(book, ShipmentDraft())
    assert told(preview, Gravity.LACKS) == [
        "Nothing goes yet: scan or type a container's place, or the tag of an item.",
        "Who gets it? Type the refinery's name.",
        "Give the shipment a number, by which its settlement is found.",
    ]
    nowhere = preview_shipment(book, replace(READY, drums=(DrumDraft("drum Z"),)))
    assert told(nowhere, Gravity.LACKS) == [
        "Nothing lies in drum Z that could go; check the name, or leave it out."
    ]


def test_what_the_rules_refuse_is_told_once_for_each_container(book: Book) -> None:
    import_entries(
        book,
        [
            received(
                4,
                *(
                    replace(thing(f"H-{at}", "slag", "9", place="tub"), hold_until=date(2032, 1, 1))
                    for at in (1, 2, 3)
                ),
                lot="L-4",
            )
        ],
    )
    draft = replace(READY, drums=(DrumDraft("tub"),), tags=("S-2",), when=day(9))
    assert told(preview_shipment(book, draft), Gravity.REFUSES) == [
        (
            "H-1 is held until 2032-01-01 and cannot be sent before that day; wait, or return it "
            "to its customer. And 2 more like it."
        )
    ]


def test_a_part_of_what_a_seal_keeps_shut_is_refused(book: Book) -> None:
    import_entries(book, [sealed(4, "drum C", "0417")])
    refused = told(preview_shipment(book, replace(READY, drums=(), tags=("C-1",))), Gravity.REFUSES)
    assert len(refused) == 1
    assert refused[0].startswith("C-1 lies in drum C, which is under seal 0417")
    whole = preview_shipment(book, replace(READY, drums=(DrumDraft("drum C"),)))
    assert told(whole, Gravity.REFUSES) == []
    twice = preview_shipment(book, replace(READY, drums=(DrumDraft("drum C", seal="0500"),)))
    assert told(twice, Gravity.REFUSES) == [
        "drum C carries seal 0417 already; record that one as broken first."
    ]


def test_a_number_that_was_sent_before_is_told(book: Book) -> None:
    import_entries(book, [sent(4, "S-1", ref="V-1")])
    assert any(
        one.startswith("Shipment V-1 was sent in entry 4 already")
        for one in told(preview_shipment(book, READY))
    )
    assert told(preview_shipment(book, replace(READY, tags=("S-1",))), Gravity.REFUSES) == [
        "S-1 cannot be sent: it was sent in entry 4 before this."
    ]


def test_the_terms_are_found_among_the_sheets_that_hold_on_the_day(book: Book) -> None:
    kilo = replace(altered(), name="by the kilo", party="Lowland", days_to_settle=30)
    none = preview_shipment(book, READY)
    assert any("No terms sheet of Lowland is kept here" in one for one in told(none))
    keep_sheet(book, replace(kilo, valid_from=date(2031, 1, 1), valid_until=None))
    later = replace(READY, when=when("2031-05-02"))
    preview = preview_shipment(book, later)
    assert preview.sheet == "by the kilo, version 1"
    assert preview.due == date(2031, 6, 1)
    assert not any("terms sheet" in one for one in told(preview))
    early = preview_shipment(book, replace(READY, when=when("2030-05-02")))
    assert any("“by the kilo” of Lowland holds on 2 May 2030" in one for one in told(early))
    unnamed = preview_shipment(book, replace(later, terms=""))
    assert any(one.startswith("No terms sheet is named") for one in told(unnamed))


def test_lead_and_the_road_are_cautioned_where_they_matter(book: Book) -> None:
    assert preview_shipment(book, READY).cautions[0] == LEAD
    assert preview_shipment(book, READY).cautions[-1] == TRANSPORT
    bar = preview_shipment(book, replace(READY, drums=(), tags=("B-1",)))
    assert bar.cautions == ()


# --- recording ----------------------------------------------------------------------------------


def test_weights_seals_and_the_shipment_are_recorded_together(book: Book) -> None:
    draft = filled(book, replace(READY, drums=(replace(DRUM_C, seal="0417", witness="Ole"),)))
    changes = send_shipment(book, draft, new_key())
    weigh, seal, send = recorded(book)[-3:]
    assert changes.entries == (weigh.number, seal.number, send.number)
    (of_drum,) = weigh.lines
    assert (weigh.act, of_drum.role, of_drum.tag, of_drum.scale) == (
        Act.WEIGH, Role.OF, "drum C", "floor scale",
    )  # fmt: skip
    assert of_drum.gross == mass("3 kg")
    assert of_drum.tare == mass("200 g")
    assert (seal.act, seal.lines[0].ref, seal.lines[0].witness) == (Act.SEAL, "0417", "Ole")
    assert send.act is Act.SEND
    assert [line.tag for line in send.lines] == [*CUPELS, "S-2"]
    assert {(line.role, line.party, line.ref, line.terms) for line in send.lines} == {
        (Role.OUT, "Lowland", "V-1", "by the kilo")
    }
    assert [line.note for line in send.lines] == ["tail lift", "", "", "", ""]


def test_a_shipment_that_cannot_be_true_leaves_nothing_behind(book: Book) -> None:
    before = recorded(book)
    draft = filled(book, replace(READY, drums=(replace(DRUM_C, seal="0417"),)))
    gone = replace(draft, tags=("S-2", "nothing"))
    with pytest.raises(RuleBroken) as refusal:
        send_shipment(book, gone, new_key())
    assert refusal.value.place == 2
    assert recorded(book) == before


def test_a_retry_after_a_crash_records_nothing_more(book: Book) -> None:
    draft, key = filled(book, READY), new_key()
    first = send_shipment(book, draft, key)
    many = len(recorded(book))
    assert send_shipment(book, draft, key) == first
    assert len(recorded(book)) == many
    with pytest.raises(KeyUsedBefore):
        send_shipment(book, replace(draft, ref="V-2"), key)


def test_the_form_is_helped_with_number_refineries_terms_and_places(book: Book) -> None:
    helped = shipment_help(book)
    assert helped.next_number == "V-0001"
    assert dict(helped.places) == {"drum C": 3, "tin": 1, "drum D": 1, "shelf": 1}
    import_entries(book, [sent(4, "S-1", ref="V-0009", party="Orrin Works")])
    keep_sheet(
        book, replace(altered(), party="Lowland", valid_from=date(2020, 1, 1), valid_until=None)
    )
    helped = shipment_help(book)
    assert helped.next_number == "V-0010"
    assert helped.parties[:2] == ("Orrin Works", "Lowland")
    assert dict(helped.sheets) == {"Lowland": (f"{altered().name} (version 1)",)}


# --- a container on the scale -------------------------------------------------------------------


def test_a_container_is_weighed_by_its_place_name_in_a_replay_and_in_the_file(book: Book) -> None:
    import_entries(book, [weighed(4, "drum C", "3005"), weighed(5, "C-1", "999")])
    with book.file.reading() as connection:
        shop = load_shop(connection)
    assert shop.items["C-1"].gross == mass("999")
    assert faults_of(weighed(6, "drum C", "3004"), shop) == []
    (nowhere,) = faults_of(weighed(6, "drum Q", "3004"), shop)
    assert nowhere.sentence.startswith("No item with tag drum Q")
    (bare,) = faults_of(weighed(6, "drum C", ""), shop)
    assert bare.sentence == "This weighing gives no weight."
    assert isinstance(shop, Shop)


def test_an_item_that_is_used_up_is_not_taken_for_a_container(book: Book) -> None:
    import_entries(book, [worked(4, "crush", used="S-1", made=[thing("S-8", "slag", "500")])])
    with book.file.reading() as connection:
        shop = load_shop(connection)
    (fault,) = faults_of(weighed(5, "S-1", "3004"), shop)
    assert fault.sentence == "S-1 cannot be weighed: it was used up in entry 4 before this."
