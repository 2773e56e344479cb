"""A work is previewed in its book: balances, aids, cautions, and what a person would say of it."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import fields, is_dataclass, replace
from datetime import UTC, datetime
from pathlib import Path

import pytest

from builders import assayed, mass, moved, received, said, thing, when, worked
from vault.application.book import Book
from vault.application.figures import work_out
from vault.application.operations.recording import import_entries, new_key, record_together
from vault.application.operations.work_draft import (
    AddedThing,
    MadeThing,
    PartTaken,
    UsedThing,
    WorkDraft,
)
from vault.application.operations.works import drafts_of
from vault.application.queries.answers.work import Aid, Gravity, Side, WorkFinding, WorkPreview
from vault.application.queries.items import item_detail
from vault.application.queries.work_preview import preview_work
from vault.application.queries.work_reading import look_at
from vault.core.daybook import Process
from vault.core.errors import RuleBroken
from vault.core.knowledge import How

NOW = datetime(2031, 3, 14, 14, 20, tzinfo=UTC)
ENTRIES = [
    received(
        1,
        thing("K-0212", "button", "236.40 ± 0.01", "Ag 641 ± 12"),
        thing("R-1", "sweeps", "900"),
        thing("R-2", "filings", "300 ± 0.01", "Ag 800 ± 8"),
        thing("G-1", "button", "10 ± 0.002", "Au 800 ± 2, Ag 100 ± 2"),
        thing("N-1", "scrap", "", "Ag 900 ± 5"),
    ),
    received(2, thing("D-1", "scrap", "40", "Au 600", note="dental, with teeth"), lot="L-2"),
    received(3, thing("W-1", "scrap", "40", "Ag 600", note="came in wet"), lot="L-3"),
    received(4, thing("S-1", "scrap", "40", "Ag 600", note="old solder joints"), lot="L-4"),
    received(5, thing("O-1", "scrap", "40", "Ag 925", note="oxidised"), lot="L-5"),
    received(6, thing("A-1", "scrap", "40", "Ag 925", note="from the plating bath"), lot="L-6"),
    received(7, thing("H-1", "sample", "0.5 ± 0.0001", "Au 900 ± 2, Ag 20 ± 2"), lot="L-7"),
    received(8, thing("F-1", "bead", "500 ± 0.01", "Ag 998 ± 0.5"), lot="L-8"),
]


@pytest.fixture(scope="module")
def book(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Book]:
    """A bench in the middle of a day; tests only ask it."""
    path = tmp_path_factory.mktemp("bench") / "bench.shop"
    with Book.create(path, zone="Europe/Oslo", operator="Imke", clock=lambda: NOW) as made:
        import_entries(made, ENTRIES)
        work_out(made)
        yield made


LEAD = AddedThing("lead", mass("120"))
CUPEL = AddedThing("magnesia cupel", mass("386.20"))
BEAD = MadeThing("K-0213", "bead", mass("150.85"))
SPENT = MadeThing("C-0165", "spent cupel", mass("602.40"), place="drum C")
CUPELLED = WorkDraft(
    Process.CUPEL,
    used=(UsedThing("K-0212"),),
    added=(CUPEL, LEAD),
    made=(BEAD, SPENT),
    furnace="965 °C, 1 h 25 min",
)


def sentences(found: WorkPreview, gravity: Gravity = Gravity.WARNS) -> list[str]:
    return [one.sentence for one in found.findings if one.gravity is gravity]


def finding(found: WorkPreview, words: str) -> WorkFinding:
    (one,) = [one for one in found.findings if words in one.sentence]
    return one


def aid(found: WorkPreview, title: str) -> Aid:
    (one,) = [one for one in found.aids if one.title == title]
    return one


def smelted(*used: str, process: Process = Process.SMELT) -> WorkDraft:
    return WorkDraft(
        process,
        used=tuple(UsedThing(tag) for tag in used),
        made=(MadeThing("K-9", "button", mass("30")), MadeThing("S-9", "slag", mass("8"))),
    )


def test_a_cupellation_that_is_in_order_closes_and_asks_for_nothing(book: Book) -> None:
    found = preview_work(book, CUPELLED)
    assert found.findings == ()
    assert found.may_be_recorded
    assert (found.closes, found.sentence) == (True, "Both balances close.")
    assert found.figures_of == 8
    assert found.stale == ""


def test_the_whole_weight_is_told_line_by_line(book: Book) -> None:
    """120 g of lead as PbO, 85.55 g of base metal as Cu2O to CuO (IUPAC atomic weights)."""
    lines = preview_work(book, CUPELLED).weight.lines
    assert [line.words for line in lines] == [
        "metal that left the button, with the lead",
        "the same as oxides",
        "the cupel gained",
        "missing: fume and handling",
    ]
    grams = [(line.low_ug or 0, line.high_ug or 0) for line in lines]
    assert [tuple(round(end / 1e6, 1) for end in ends) for ends in grams] == [
        (205.6, 205.6),
        (225.6, 236.4),
        (216.2, 216.2),
        (9.4, 20.2),
    ]
    assert [line.is_result for line in lines] == [False, False, False, True]


def test_what_the_preview_says_is_what_recording_gives(tmp_path: Path) -> None:
    with Book.create(tmp_path / "one.shop", zone="Europe/Oslo", operator="Imke") as book:
        import_entries(book, ENTRIES[:1])
        work_out(book)
        known = replace(BEAD, contents=said("Ag 992 ± 3"))
        draft = replace(CUPELLED, made=(known, SPENT), when=when("2031-03-14"))
        (silver,) = preview_work(book, draft).metals
        record_together(book, drafts_of(draft), key=new_key())
        work_out(book)
        for one in silver.made:
            (real,) = item_detail(book, one.tag).metals
            assert one.figure.how is real.figure.how
            assert one.figure.fine_ug == pytest.approx(real.figure.fine_ug, rel=1e-3, abs=20_000)
            assert one.figure.u_ug == pytest.approx(real.figure.u_ug, rel=0.05)
        (better,) = silver.better
        (button,) = item_detail(book, "K-0212").metals
        assert better.now.u_ug == pytest.approx(button.figure.u_ug, rel=0.05)
        assert better.now.how is button.figure.how is How.WORKED_OUT
        assert better.sentence == "the button is now known better"
        assert silver.lost.fine_ug is not None


def test_an_empty_draft_asks_for_the_first_things_and_refuses_nothing(book: Book) -> None:
    found = preview_work(book, WorkDraft())
    assert sentences(found, Gravity.LACKS) == [
        "Choose what is done.",
        "Scan or pick what goes in.",
        "Name what came out.",
    ]
    assert sentences(found, Gravity.REFUSES) == []
    assert sentences(found) == []
    assert not found.may_be_recorded
    assert (found.metals, found.sentence, found.closes) == ((), "", None)


def test_what_goes_in_is_told_before_anything_came_out(book: Book) -> None:
    found = preview_work(book, replace(CUPELLED, made=()))
    (silver,) = found.metals
    assert silver.went_in.fine_ug == pytest.approx(151.53e6, rel=1e-3)
    assert silver.made == ()
    assert silver.lost.how is How.NOT_KNOWN
    assert silver.closes is None
    assert found.weight.closes is None


def test_with_only_the_cupel_weighed_in_no_balance_is_struck(book: Book) -> None:
    found = preview_work(book, replace(CUPELLED, made=(SPENT,)))
    assert (found.closes, found.weight.closes, found.metals[0].closes) == (None, None, None)


def test_lines_without_form_or_tag_are_lacking_it(book: Book) -> None:
    draft = WorkDraft(
        Process.CUPEL,
        used=(UsedThing("K-0212"), UsedThing("")),
        added=(AddedThing(), CUPEL, LEAD),
        made=(MadeThing("", "bead", mass("150.85")), MadeThing("C-1", "")),
    )
    found = preview_work(book, draft)
    assert sentences(found, Gravity.LACKS) == [
        "A line of what goes in is empty; fill it or remove it.",
        "Say what is added, or remove the line.",
        "Give the bead a tag.",
        "Say what C-1 is, such as button or slag.",
    ]
    assert sentences(found, Gravity.REFUSES) == []


def test_nobody_at_work_is_lacking(book: Book) -> None:
    alone = Book(book.file, operator="", clock=lambda: NOW)
    assert "Say who is working." in sentences(preview_work(alone, CUPELLED), Gravity.LACKS)


# --- refusals ------------------------------------------------------------------------------------


def test_a_refusal_is_the_sentence_with_which_the_book_refuses(book: Book) -> None:
    heavy = replace(BEAD, gross=mass("1602.40"))
    draft = replace(CUPELLED, made=(heavy, SPENT))
    with pytest.raises(RuleBroken) as refused:
        record_together(book, drafts_of(draft), key=new_key())
    one = finding(preview_work(book, draft), "more came out than can have gone in")
    assert one.sentence == str(refused.value)
    assert (one.gravity, one.side, one.line, one.field) == (
        Gravity.REFUSES,
        Side.MADE,
        0,
        "gross",
    )


def test_a_tag_used_before_is_refused_at_its_line(book: Book) -> None:
    draft = replace(CUPELLED, made=(replace(BEAD, tag="R-2"), SPENT))
    one = finding(preview_work(book, draft), "Tag R-2 was given before")
    assert (one.gravity, one.side, one.line, one.field) == (Gravity.REFUSES, Side.MADE, 0, "tag")


def test_an_unknown_tag_and_one_named_twice_are_refused(book: Book) -> None:
    draft = replace(CUPELLED, used=(UsedThing("K-0212"), UsedThing("X-7"), UsedThing("K-0212")))
    found = preview_work(book, draft)
    assert finding(found, "No item with tag X-7").line == 1
    assert finding(found, "K-0212 stands in this entry twice").line == 2
    assert found.metals[0].went_in.fine_ug == pytest.approx(151.53e6, rel=1e-3)


def test_an_item_on_hold_is_refused_in_the_words_of_the_book(tmp_path: Path) -> None:
    with Book.create(tmp_path / "h.shop", zone="UTC", operator="Imke", clock=lambda: NOW) as book:
        held = replace(
            thing("R-1", "filings", "100", "Ag 900"), hold_until=NOW.date().replace(day=30)
        )
        import_entries(book, [received(1, held)])
        found = preview_work(book, smelted("R-1"))
        (one,) = [one for one in found.findings if one.gravity is Gravity.REFUSES]
        assert (one.side, one.line) == (Side.USED, 0)
        assert "2031-03-30" in one.sentence or "30" in one.sentence


def test_a_part_larger_than_the_whole_is_refused_at_the_part(book: Book) -> None:
    part = PartTaken("R-21", mass("280"), rest_tag="R-22", rest_gross=mass("180"))
    draft = replace(smelted(), used=(UsedThing("R-2", "filings", part),))
    one = finding(preview_work(book, draft), "more came out than can have gone in")
    assert (one.side, one.line, one.field) == (Side.USED, 0, "part")


def test_a_part_without_tags_is_lacking_them(book: Book) -> None:
    draft = replace(smelted(), used=(UsedThing("R-2", "filings", PartTaken(gross=mass("100"))),))
    found = preview_work(book, draft)
    assert "Give the part taken of R-2 and what stays a tag each." in sentences(
        found, Gravity.LACKS
    )
    assert found.metals[0].went_in.fine_ug == pytest.approx(80e6, rel=1e-3)


def test_a_date_before_the_last_entry_is_refused(book: Book) -> None:
    found = preview_work(book, replace(CUPELLED, when=when("2030-01-01")))
    assert [one.field for one in found.findings if one.gravity is Gravity.REFUSES] == ["when"]


# --- warnings ------------------------------------------------------------------------------------


def test_too_little_lead_is_told_against_the_base_metal(book: Book) -> None:
    draft = replace(CUPELLED, added=(CUPEL, replace(LEAD, gross=mass("40"))), made=())
    one = finding(preview_work(book, draft), "too little for")
    assert one.sentence.startswith("40 g of lead is too little for 84.9 g of base metal")
    assert one.gravity is Gravity.WARNS


def test_no_lead_and_no_cupel_are_told(book: Book) -> None:
    found = preview_work(book, replace(CUPELLED, added=(), made=()))
    assert "No lead is named for 84.9 g of base metal" in sentences(found)[0]
    assert "No new cupel is named" in sentences(found)[1]


def test_a_cupel_too_small_is_told_with_what_it_takes(book: Book) -> None:
    """Magnesia takes 0.67 to 0.70 g of litharge to the gram (published): 200 g takes 140 g."""
    small = replace(CUPEL, gross=mass("200"))
    one = finding(preview_work(book, replace(CUPELLED, added=(small, LEAD), made=())), "too small")
    assert one.sentence == (
        "The cupel is too small: the oxides would weigh 222 to 239 g, and it takes 140 g at the "
        "most. Take a larger one, or several."
    )


def test_a_cupel_that_may_be_too_small_is_told_as_that(book: Book) -> None:
    small = replace(CUPEL, gross=mass("330"))
    found = preview_work(book, replace(CUPELLED, added=(small, LEAD), made=()))
    assert "The cupel may be too small" in " ".join(sentences(found))


def test_no_spent_cupel_and_no_slag_are_asked_for(book: Book) -> None:
    cupelled = preview_work(book, replace(CUPELLED, made=(BEAD,)))
    assert "No spent cupel came out" in " ".join(sentences(cupelled))
    draft = replace(smelted("R-2"), made=(MadeThing("K-9", "button", mass("30")),))
    assert "No slag came out" in " ".join(sentences(preview_work(book, draft)))


def test_a_weight_that_was_not_steady_is_to_be_taken_again(book: Book) -> None:
    added = (CUPEL, replace(LEAD, steady=False))
    draft = replace(CUPELLED, added=added, made=(replace(BEAD, steady=False), SPENT))
    found = preview_work(book, draft)
    assert finding(found, "of the lead was read while the scale still moved").side is Side.ADDED
    one = finding(found, "of K-0213 was read while the scale still moved; weigh it again.")
    assert (one.side, one.line, one.field) == (Side.MADE, 0, "gross")


def test_what_is_not_weighed_is_worked_out_and_said(book: Book) -> None:
    draft = WorkDraft(
        Process.SMELT,
        used=(UsedThing("N-1"),),
        added=(AddedThing("borax"),),
        made=(MadeThing("K-9", "button", mass("30")), MadeThing("S-9", "slag")),
    )
    found = preview_work(book, draft)
    assert "N-1 was never weighed; weigh it before it goes in." in sentences(found)
    assert "The borax has no weight; the whole weight cannot be checked." in sentences(found)
    assert "S-9 is not weighed: its weight is worked out, less surely." in sentences(found)
    assert found.weight.closes is None
    assert "not weighed, so the whole weight is not checked." in found.weight.sentence


@pytest.mark.parametrize(
    ("tag", "process", "words"),
    [
        ("D-1", Process.SMELT, "D-1 speaks of what can hold mercury. Never heat it untested"),
        ("D-1", Process.SORT, "keep it shut and cold until it is tested"),
        ("S-1", Process.REMELT, "S-1 speaks of solder or cadmium"),
        ("A-1", Process.BURN_OFF, "A-1 speaks of acid or cyanide"),
        ("W-1", Process.SMELT, "W-1 is noted as wet. Dry it first"),
        ("O-1", Process.POUR, "O-1 is noted as oxidised"),
    ],
)
def test_words_in_notes_that_warn_are_heard(
    book: Book, tag: str, process: Process, words: str
) -> None:
    one = finding(preview_work(book, smelted(tag, process=process)), words)
    assert (one.gravity, one.side, one.line) == (Gravity.WARNS, Side.USED, 0)


def test_wet_metal_on_the_sorting_table_is_no_matter(book: Book) -> None:
    found = preview_work(book, smelted("W-1", process=Process.SORT))
    assert not any("wet" in one for one in sentences(found))


def test_mercury_in_the_note_of_the_work_is_heard(book: Book) -> None:
    draft = replace(smelted("R-2"), note="with a little amalgam")
    assert "Never heat it untested" in finding(preview_work(book, draft), "mercury").sentence


def test_a_cool_and_a_hot_muffle_are_told(book: Book) -> None:
    """T. K. Rose, p. 506: finish at 910 °C or more; bench scale 955 to 985 °C, no source."""
    cool = preview_work(book, replace(CUPELLED, furnace="860 °C"))
    hot = preview_work(book, replace(CUPELLED, furnace="1050 C, 40 min"))
    assert "860 °C is cool for a cupel" in sentences(cool)[0]
    assert "1050 °C is hot for a cupel" in sentences(hot)[0]


def test_gold_for_parting_without_enough_silver_is_told(book: Book) -> None:
    """0.45 g of gold wants 1.125 g of silver (BER, 2.5 to 1); 0.01 g is there."""
    draft = replace(CUPELLED, used=(UsedThing("H-1"),), made=())
    one = finding(preview_work(book, draft), "For parting")
    assert "add 1.115 g" in one.sentence


def test_a_cupel_that_gained_too_much_does_not_close(book: Book) -> None:
    heavy = replace(SPENT, gross=mass("660"))
    found = preview_work(book, replace(CUPELLED, made=(BEAD, heavy)))
    assert found.closes is False
    assert found.sentence == "The whole weight does not close."
    assert "The cupel gained more than the oxides can weigh" in sentences(found)[0]
    last = found.weight.lines[-1]
    assert (last.words, last.is_result) == ("too much", True)
    assert last.low_ug == pytest.approx((273.8 - 236.4) * 1e6, abs=1e5)


def test_a_bead_lighter_than_its_silver_does_not_close(book: Book) -> None:
    light = replace(BEAD, gross=mass("120"))
    found = preview_work(book, replace(CUPELLED, made=(light, SPENT)))
    (silver,) = found.metals
    assert silver.closes is False
    assert silver.sentence.startswith("K-0213 weighs 120 g, but 150.4 ± 2.9 g of metal")
    assert found.sentence == "The silver and whole weight do not close."
    assert silver.sentence in sentences(found)


def test_a_fineness_that_cannot_be_is_told_against_what_went_in(book: Book) -> None:
    rich = replace(BEAD, gross=mass("190 g"), contents=said("Ag 995 ± 2"))
    found = preview_work(book, replace(CUPELLED, made=(rich, SPENT)))
    (silver,) = found.metals
    assert silver.closes is False
    assert "of silver went in, but by what is said of K-0213 189" in silver.sentence


def test_what_nobody_knows_keeps_the_balance_open(book: Book) -> None:
    found = preview_work(book, smelted("R-1"))
    assert found.closes is not True
    both = preview_work(book, smelted("R-1", "R-2"))
    silver = next(one for one in both.metals if one.metal == "Ag")
    assert silver.closes is None
    assert silver.sentence == (
        "How much silver there is nobody can tell: what R-1 holds is not known."
    )
    silver = next(one for one in preview_work(book, smelted("R-1", "N-1")).metals)
    assert silver.sentence == (
        "How much silver there is nobody can tell: what R-1, N-1 hold is not known."
    )


def test_where_nothing_is_known_of_what_goes_in_that_is_said(tmp_path: Path) -> None:
    with Book.create(tmp_path / "n.shop", zone="UTC", operator="Imke", clock=lambda: NOW) as book:
        import_entries(book, [received(1, thing("R-1", "filings", "100"))])
        work_out(book)
        button, slag = MadeThing("K-9", "button", mass("95")), MadeThing("S-9", "slag", mass("6"))
        found = preview_work(book, replace(smelted("R-1"), made=(button, slag)))
        alone = preview_work(book, WorkDraft(Process.SMELT, used=(UsedThing("R-1"),)))
    assert (found.metals, found.closes) == ((), None)
    told = "Nothing is known of the metal in what goes in; an assay, or a word on its fineness "
    assert found.sentence.startswith(told)
    assert found.sentence.endswith("would tell. The whole weight closes.")
    assert alone.sentence.startswith(told)


# --- aids ----------------------------------------------------------------------------------------


def test_lead_and_room_are_told_with_their_sources(book: Book) -> None:
    found = preview_work(book, CUPELLED)
    lead, room = aid(found, "Lead"), aid(found, "Room in the cupel")
    assert lead.text == (
        "84.9 ± 2.8 g of base metal is to be carried off. The old table asks for some 13 parts of "
        "lead to one of 64 % silver–copper alloy for one pass, that is 3060 to 3170 g; with 120 g "
        "a second pass is likely."
    )
    assert "BER p. 105" in lead.source
    assert "common practice, no source" in lead.source
    assert room.text == (
        "The oxides would weigh 226 to 236 g, 60 % of the cupel; one of magnesia usually takes "
        "259 to 270 g."
    )


def test_gold_is_cupelled_by_the_table_for_gold(book: Book) -> None:
    """BER: 8 parts, more with copper: at 10 % copper one and a half times as much."""
    draft = replace(CUPELLED, used=(UsedThing("G-1"),), made=())
    assert (
        "12 parts of lead to one of 90 % gold bullion"
        in aid(preview_work(book, draft), "Lead").text
    )


def test_slag_is_expected_from_flux_without_its_gas_and_from_dirt(book: Book) -> None:
    """100 g of soda ash keep 58.48 g (IUPAC); 270 g of filings left of 300 make 33.8 to 37.6 g."""
    draft = WorkDraft(
        Process.SMELT,
        used=(UsedThing("R-2"),),
        added=(AddedThing("soda ash", mass("100")), AddedThing("silica", mass("20"))),
        made=(MadeThing("K-9", "button", mass("270")),),
    )
    found = preview_work(book, draft)
    assert aid(found, "Slag to expect").text == (
        "Some 112.3 to 116.0 g of slag: 78.5 g from the flux after 41.5 g of gas, 33.8 to 37.6 g "
        "from dirt and oxides."
    )
    assert aid(found, "Soda ash for silica").text == (
        "20 g of silica takes 35.4 g of soda ash to melt with it; 100 g is named."
    )


def test_silver_for_parting_is_told_where_there_is_gold(book: Book) -> None:
    """8 g of gold: 18.4 to 24 g of silver (ISO 11426), 1 g is there, 19 g for 2.5 parts (BER)."""
    draft = replace(CUPELLED, used=(UsedThing("G-1"),), made=())
    assert aid(preview_work(book, draft), "Silver for parting").text == (
        "8 g of gold wants 18.4 to 24.0 g of silver before it is parted; 1 g is in it, 19 g would "
        "be to add."
    )


def test_a_remelt_of_several_tells_the_fineness_to_expect(book: Book) -> None:
    """500 g at 998 ‰ and 40 g at 925 ‰ give 992.6 ‰."""
    draft = WorkDraft(
        Process.REMELT,
        used=(UsedThing("F-1"), UsedThing("O-1")),
        made=(MadeThing("B-1", "bar", mass("539.5")),),
    )
    text = aid(preview_work(book, draft), "Fineness to expect").text
    assert text.startswith("The bar should come out at Ag 99")
    assert "±" in text


def test_a_fineness_as_doubtful_as_it_is_large_is_not_told(book: Book) -> None:
    used = (UsedThing("F-1"), UsedThing("O-1"))
    made = (MadeThing("B-1", "bar"), MadeThing("S-1", "slag"))
    found = preview_work(book, WorkDraft(Process.REMELT, used=used, made=made))
    assert "Fineness to expect" not in [one.title for one in found.aids]
    weighed = (MadeThing("B-1", "bar", mass("539.5")), MadeThing("S-1", "slag"))
    found = preview_work(book, WorkDraft(Process.REMELT, used=used, made=weighed))
    assert "Fineness to expect" in [one.title for one in found.aids]


def test_nearly_pure_silver_sprouts_and_alloy_does_not(book: Book) -> None:
    """BER: 0.30 % of oxygen by mass, 1.5 g in 499 g."""
    pure = WorkDraft(Process.POUR, used=(UsedThing("F-1"),))
    assert "can hold 1.5 g of oxygen" in aid(preview_work(book, pure), "Sprouting").text
    alloy = WorkDraft(Process.POUR, used=(UsedThing("R-2"),))
    assert not any(one.title == "Sprouting" for one in preview_work(book, alloy).aids)


def test_every_aid_says_where_it_is_from(book: Book) -> None:
    for draft in (CUPELLED, smelted("R-2"), replace(smelted("F-1"), process=Process.REMELT)):
        for one in preview_work(book, draft).aids:
            assert one.text.endswith(".")
            assert one.source


@pytest.mark.parametrize(
    ("process", "title"),
    [
        (Process.CUPEL, "Lead fume"),
        (Process.SMELT, "Silica dust"),
        (Process.POUR, "Burns and steam"),
        (Process.BURN_OFF, "Mercury"),
        (Process.CRUSH, "Silica dust"),
    ],
)
def test_every_work_that_can_hurt_shows_its_caution(
    book: Book, process: Process, title: str
) -> None:
    found = preview_work(book, replace(smelted("R-2"), process=process))
    assert title in [one.title for one in found.cautions]


# --- figures -------------------------------------------------------------------------------------


def test_items_younger_than_the_figures_count_with_what_was_said_of_them(tmp_path: Path) -> None:
    with Book.create(tmp_path / "s.shop", zone="UTC", operator="Imke", clock=lambda: NOW) as book:
        import_entries(book, [received(1, thing("R-1", "filings", "300", "Ag 800 ± 8"))])
        work_out(book)
        second = received(2, thing("R-2", "filings", "100", "Ag 925 ± 5"), lot="L-2")
        import_entries(book, [second, assayed(3, "R-1", "Ag 790 ± 1")])
        found = preview_work(book, smelted("R-1", "R-2"))
        assert found.metals[0].went_in.fine_ug == pytest.approx(237e6 + 92.5e6, rel=2e-3)
        assert found.figures_of == 1
        assert found.stale.startswith("Figures of entry 1: R-1, R-2 have later entries")


def test_a_book_without_figures_says_so_and_tells_what_it_can(tmp_path: Path) -> None:
    with Book.create(tmp_path / "n.shop", zone="UTC", operator="Imke", clock=lambda: NOW) as book:
        import_entries(book, [received(1, thing("R-1", "filings", "300", "Ag 800 ± 8"))])
        found = preview_work(book, smelted("R-1"))
        assert found.figures_of is None
        assert found.stale.startswith("Nothing has been worked out yet")
        assert found.metals[0].went_in.fine_ug == pytest.approx(240e6)


def test_figures_that_only_the_file_holds_are_used(tmp_path: Path) -> None:
    path = tmp_path / "f.shop"
    smelt = worked(
        2,
        "smelt",
        used="R-1",
        made=[thing("K-1", "button", "260"), thing("S-1", "slag", "30")],
    )
    with Book.create(path, zone="UTC", operator="Imke", clock=lambda: NOW) as book:
        import_entries(book, [received(1, thing("R-1", "filings", "300", "Ag 800 ± 8")), smelt])
        work_out(book)
        draft = replace(CUPELLED, used=(UsedThing("K-1"),), made=(replace(BEAD, tag="B-1"),))
        held = preview_work(book, draft)
        book.reckoned = None
        kept = preview_work(book, draft)
    assert kept.figures_of == 2
    assert kept.stale == ""
    for one, other in zip(held.metals, kept.metals, strict=True):
        assert one.went_in.fine_ug == pytest.approx(other.went_in.fine_ug, abs=2)
        assert one.went_in.u_ug == pytest.approx(other.went_in.u_ug, abs=2)


def test_a_move_after_the_figures_does_not_matter(tmp_path: Path) -> None:
    with Book.create(tmp_path / "m.shop", zone="UTC", operator="Imke", clock=lambda: NOW) as book:
        import_entries(book, [received(1, thing("R-1", "filings", "300", "Ag 800 ± 8"))])
        work_out(book)
        import_entries(book, [moved(2, "R-1", "bench")])
        assert preview_work(book, smelted("R-1")).metals[0].closes is not None


# --- half filled ---------------------------------------------------------------------------------

ODD = [
    WorkDraft(used=(UsedThing(),), added=(AddedThing(),), made=(MadeThing(),)),
    WorkDraft(Process.CUPEL, added=(AddedThing("lead", mass("0")),), made=(MadeThing("", "bead"),)),
    WorkDraft(Process.CUPEL, used=(UsedThing("K-0212", part=PartTaken()),), made=(BEAD,)),
    WorkDraft(Process.REMELT, made=(MadeThing("B-1", "bar", mass("-3")),)),
    WorkDraft(Process.SMELT, used=(UsedThing("R-1"),), made=(MadeThing("", "", mass("3")),)),
    WorkDraft(
        Process.SMELT,
        used=(UsedThing("N-1"), UsedThing("K-0212"), UsedThing("K-0212", part=PartTaken("P"))),
        added=(AddedThing("", mass("4"), contents=said("Ag 999")),),
        made=(MadeThing("R-1", "slag"), MadeThing("R-1", "button")),
    ),
    WorkDraft(
        Process.POUR,
        used=(UsedThing("F-1"),),
        added=(AddedThing("silver", None, contents=said("Ag 999")),),
        made=(MadeThing("B-1", "bar", mass("0.000001"), contents=said("Ag 999, Ag 1, Au 900")),),
    ),
    WorkDraft(None, used=(UsedThing("K-0212"),), added=(LEAD,), made=(BEAD,)),
]


@pytest.mark.parametrize("draft", ODD)
@pytest.mark.parametrize("process", [None, *Process])
def test_a_half_filled_draft_is_never_an_error(
    book: Book, draft: WorkDraft, process: Process | None
) -> None:
    draft = replace(draft, process=process)
    found = preview_work(book, draft)
    assert found.may_be_recorded == (not look_at(book, draft).faults)
    for one in found.findings:
        assert one.sentence.endswith((".", "?"))
        assert "\x00" not in one.sentence


def test_no_name_of_the_preview_s_own_is_ever_shown(book: Book) -> None:
    draft = replace(CUPELLED, made=(replace(BEAD, tag=""), replace(SPENT, tag="")))
    assert "\\x00" not in repr(preview_work(book, draft))
    part = PartTaken("", mass("100"), rest_tag="")
    draft = replace(CUPELLED, used=(UsedThing("R-2", "filings", part),), made=(BEAD, SPENT))
    assert "\\x00" not in repr(preview_work(book, draft))


def test_the_preview_is_frozen(book: Book) -> None:
    found = preview_work(book, CUPELLED)
    assert is_dataclass(found)
    with pytest.raises(AttributeError):
        found.__setattr__(fields(found)[0].name, ())
