"""A whole drum goes into a work: what lies in it, what it would give, and what is recorded."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from datetime import UTC, date, datetime
from pathlib import Path

import numpy as np
import pytest

from builders import assayed, mass, moved, received, sealed, thing, worked
from vault.application.book import Book
from vault.application.figures import work_out
from vault.application.operations.bench_work import record_bench_work
from vault.application.operations.recording import import_entries
from vault.application.operations.work_draft import MadeThing, UsedThing, WorkDraft
from vault.application.queries.answers.bench import ContainerBrief
from vault.application.queries.answers.work import Gravity, Side
from vault.application.queries.container_briefs import container_briefs, containers_like
from vault.application.queries.labels import tag_labels
from vault.application.queries.work_preview import preview_work
from vault.core.daybook import Entry, Process, Role
from vault.core.items import State
from vault.store.entries import load_shop

NOW = datetime(2031, 6, 1, 9, 0, tzinfo=UTC)
CUPELS = 5


def cupelled(lots: int) -> list[Entry]:
    """Lots cupelled one by one; their cupels lie in drum C, of which box 2 is a part."""
    entries: list[Entry] = []
    for at in range(lots):
        number = len(entries) + 1
        entries += [
            received(number, thing(f"R-{at}", "filings", "500", "Ag 600 ± 6"), lot=f"L-{at}"),
            worked(
                number + 1,
                "cupel",
                used=f"R-{at}",
                added=[thing("", "lead", "600"), thing("", "new cupel", "1200")],
                made=[
                    thing(f"K-{at}", "bead", "300"),
                    thing(f"C-{at}", "spent cupel", "1900", place="box 2" if at == 0 else "drum C"),
                ],
            ),
        ]
    return entries


def in_a_drum(lots: int) -> list[Entry]:
    entries = cupelled(lots)
    number = len(entries) + 1
    slag = thing("S-1", "slag", "50", place="drum C")
    return [
        *entries,
        moved(number, "box 2", "drum C"),
        received(number + 1, slag, thing("S-2", "slag", place="drum C"), lot="L-S", terms="own",
                 party=""),
    ]  # fmt: skip


@pytest.fixture
def book(tmp_path: Path) -> Iterator[Book]:
    with Book.create(tmp_path / "our.shop", zone="UTC", operator="Imke", clock=lambda: NOW) as made:
        import_entries(made, in_a_drum(CUPELS))
        work_out(made)
        yield made


def cupels_of(book: Book, name: str = "drum C") -> ContainerBrief:
    return next(one for one in container_briefs(book, name) if one.brief.form == "spent cupel")


def blend(found: ContainerBrief, gross: str = "9.49 kg") -> WorkDraft:
    return WorkDraft(
        Process.BLEND,
        used=(UsedThing(found.brief.tag, found.brief.form, held=found.tags),),
        made=(MadeThing("C-900", "spent cupel", mass(gross), place="drum C"),),
        furnace="",
        note="all of it, twice through the riffle",
    )


# --- what lies in it ----------------------------------------------------------------------------


def test_a_container_is_told_by_form_with_what_lies_in_boxes_within_it(book: Book) -> None:
    slag, cupels = container_briefs(book, "drum C")
    assert cupels.tags == ("C-0", "C-1", "C-2", "C-3", "C-4")
    assert cupels.brief.gross_ug == CUPELS * 1_900_000_000
    assert (cupels.brief.tag, cupels.brief.place) == ("drum C", "drum C")
    assert (slag.brief.form, slag.brief.gross_ug, slag.not_weighed) == ("slag", None, 1)
    assert (cupels.brief.lots, cupels.brief.more_lots) == (("L-0", "L-1"), 3)


def test_what_it_holds_is_the_sum_with_the_covariance_of_its_things(book: Book) -> None:
    assert book.reckoned is not None
    total = book.reckoned.contents.total(cupels_of(book).tags, "Ag")
    figure = cupels_of(book).brief.contents["Ag"]
    assert figure.fine_ug == pytest.approx(1e6 * total.fine_g, abs=5)
    assert figure.u_ug == pytest.approx(1e6 * total.u_g, rel=1e-3)


def test_a_name_under_which_nothing_lies_is_no_container(book: Book) -> None:
    assert container_briefs(book, "C-1") == ()
    assert container_briefs(book, "nowhere") == ()


def test_a_container_is_offered_by_the_beginning_of_its_name(book: Book) -> None:
    found = containers_like(book, "Drum")
    assert [(one.brief.tag, one.brief.form) for one in found] == [
        ("drum C", "slag"),
        ("drum C", "spent cupel"),
    ]
    # A box with one cupel is no drum; nothing typed offers nothing.
    assert containers_like(book, "box") == ()
    assert containers_like(book, " ") == ()


# --- the work -----------------------------------------------------------------------------------


def test_everything_in_it_is_recorded_as_used_by_one_entry(book: Book) -> None:
    found = cupels_of(book)
    record_bench_work(book, blend(found), "key")
    with book.file.reading() as connection:
        shop = load_shop(connection)
    last = shop.entries[shop.last_number]
    used = [line for line in last.lines if line.role is Role.USED]
    assert [line.tag for line in used] == list(found.tags)
    assert [line.note for line in used][:2] == ["all of it, twice through the riffle", ""]
    assert {shop.items[tag].state for tag in found.tags} == {State.USED}
    assert shop.items["C-900"].state is State.ON_HAND
    # The slag of the same drum is another form and stays.
    assert [one.brief.form for one in container_briefs(book, "drum C")] == ["slag", "spent cupel"]
    assert cupels_of(book).tags == ("C-900",)


def test_the_preview_tells_the_sum_of_it_as_recording_does(book: Book) -> None:
    draft = blend(cupels_of(book))
    [silver] = preview_work(book, draft).metals
    record_bench_work(book, draft, "key")
    work_out(book)
    assert book.reckoned is not None
    after = book.reckoned.contents.of("C-900")["Ag"]
    [made] = silver.made
    assert made.figure.fine_ug == pytest.approx(1e6 * after.fine_g, rel=0.02)
    assert made.figure.u_ug == pytest.approx(1e6 * after.u_g, rel=0.05)


def test_before_the_figures_stand_doubts_of_a_drum_are_taken_to_hang_together(book: Book) -> None:
    found = cupels_of(book)
    alone = found.brief.contents["Ag"]
    reckoned, book.reckoned = book.reckoned, None
    [silver] = preview_work(book, blend(found)).metals
    book.reckoned = reckoned
    assert silver.went_in.fine_ug == pytest.approx(alone.fine_ug, rel=0.01)
    assert (silver.went_in.u_ug or 0) >= (alone.u_ug or 0)


def test_something_in_it_that_was_never_weighed_is_told_once_at_its_line(book: Book) -> None:
    slag = container_briefs(book, "drum C")[0]
    draft = WorkDraft(
        Process.BLEND,
        used=(UsedThing("drum C", "slag", held=slag.tags),),
        made=(MadeThing("S-900", "slag", mass("60")),),
    )
    told = [one for one in preview_work(book, draft).findings if one.side is Side.USED]
    assert [(one.line, one.sentence) for one in told] == [
        (0, "Something in drum C was never weighed; weigh it before it goes in.")
    ]


def test_a_sealed_drum_is_refused_once_and_not_for_each_thing_in_it(book: Book) -> None:
    import_entries(book, [sealed(99, "drum C", "0417")])
    work_out(book)
    told = [
        one
        for one in preview_work(book, blend(cupels_of(book))).findings
        if one.gravity is Gravity.REFUSES and one.side is Side.USED
    ]
    assert len(told) == 1
    assert told[0].line == 0
    assert "sealed" in told[0].sentence or "seal" in told[0].sentence


def test_a_thing_of_the_drum_that_goes_in_by_itself_as_well_is_refused(book: Book) -> None:
    draft = blend(cupels_of(book))
    twice = replace(draft, used=(*draft.used, UsedThing("C-1")))
    told = [one for one in preview_work(book, twice).findings if one.gravity is Gravity.REFUSES]
    assert told


def test_a_finding_of_what_comes_out_finds_its_line_behind_a_drum(book: Book) -> None:
    draft = blend(cupels_of(book))
    again = replace(draft, made=(replace(draft.made[0], tag="K-1"),))
    [told] = [one for one in preview_work(book, again).findings if one.gravity is Gravity.REFUSES]
    assert (told.side, told.line) == (Side.MADE, 0)


# --- afterwards ---------------------------------------------------------------------------------


def test_an_assay_of_the_blend_says_something_of_every_cupel_in_it(book: Book) -> None:
    found = cupels_of(book)
    assert book.reckoned is not None
    before = [book.reckoned.contents.of(tag)["Ag"].u_g for tag in found.tags]
    record_bench_work(book, blend(found), "key")
    import_entries(book, [assayed(200, "C-900", "Ag 2.4 ± 0.05", how="ICP")])
    work_out(book)
    contents = book.reckoned.contents
    after = [contents.of(tag)["Ag"].u_g for tag in found.tags]
    assert np.all(np.array(after) < np.array(before))
    whole = sum(contents.of(tag)["Ag"].fine_g for tag in found.tags)
    assert whole == pytest.approx(0.0024 * 9490, rel=0.05)


def test_the_label_of_a_blend_and_of_its_drum_say_since_when_the_oldest_was_kept(
    book: Book,
) -> None:
    record_bench_work(book, blend(cupels_of(book)), "key")
    with book.file.reading() as connection:
        oldest = load_shop(connection).items["C-0"].made_on
    blended, drum = tag_labels(book, ["C-900", "drum C"])
    assert blended.kept_since == drum.kept_since == oldest == date(2031, 1, 2)
    assert blended.made_on == date(2031, 6, 1)
