"""Whatever stands in the form, the preview answers; what it lets pass, the book takes."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import UTC, datetime

import pytest
from hypothesis import example, given, settings
from hypothesis import strategies as st

from builders import received, thing, worked
from vault.application.book import Book
from vault.application.figures import work_out
from vault.application.operations.recording import import_entries
from vault.application.operations.work_draft import (
    AddedThing,
    MadeThing,
    PartTaken,
    UsedThing,
    WorkDraft,
)
from vault.application.queries.answers.work import Gravity
from vault.application.queries.work_preview import preview_work
from vault.application.queries.work_reading import look_at
from vault.core.daybook import Process, Said
from vault.core.fineness import Fineness
from vault.core.masses import Mass

TAGS = ("R-1", "R-2", "K-1", "S-1", "N-1", "X-1", "", "R-9")
FORMS = ("button", "bead", "slag", "spent cupel", "crucible", "ingot", "")
THINGS = ("lead", "magnesia cupel", "borax", "silver", "litharge", "soda ash", "a pinch", "")

masses = st.none() | st.integers(-5, 900_000_000).map(Mass)
sayings = st.lists(
    st.builds(
        Said,
        st.sampled_from(("Ag", "Au", "Pt", "Xx")),
        st.integers(0, 1_000_000_000).map(Fineness),
        st.none() | st.integers(0, 50_000_000).map(Fineness),
    ),
    max_size=2,
).map(tuple)
parts = st.builds(PartTaken, st.sampled_from(TAGS), masses, masses, st.sampled_from(TAGS), masses)
drafts = st.builds(
    WorkDraft,
    st.none() | st.sampled_from(Process),
    st.lists(
        st.builds(UsedThing, st.sampled_from(TAGS), st.just("filings"), st.none() | parts),
        max_size=3,
    ).map(tuple),
    st.lists(
        st.builds(AddedThing, st.sampled_from(THINGS), masses, masses, sayings), max_size=3
    ).map(tuple),
    st.lists(
        st.builds(
            MadeThing,
            st.sampled_from(("B-1", "B-2", "C-1", "R-1", "")),
            st.sampled_from(FORMS),
            masses,
            masses,
            st.none(),
            sayings,
        ),
        max_size=3,
    ).map(tuple),
)


@pytest.fixture(scope="module")
def book(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Book]:
    path = tmp_path_factory.mktemp("drafts") / "drafts.shop"
    at = datetime(2031, 3, 14, 14, 20, tzinfo=UTC)
    with Book.create(path, zone="UTC", operator="Imke", clock=lambda: at) as made:
        first = received(
            1,
            thing("R-1", "filings", "300", "Ag 800 ± 8, Au 20 ± 2"),
            thing("R-2", "filings", "100", "Ag 600"),
            thing("N-1", "sweeps"),
        )
        things = [thing("K-1", "button", "90"), thing("S-1", "slag")]
        import_entries(made, [first, worked(2, "smelt", used="R-2", made=things)])
        work_out(made)
        yield made


NOTHING_GOES_IN = WorkDraft(
    Process.SORT,
    made=(MadeThing("B-1", "button", contents=(Said("Ag", Fineness(0)),)),),
)
WEIGHS_NOTHING = WorkDraft(
    Process.BURN_OFF,
    (UsedThing("R-1"),),
    (AddedThing("lead"),),
    (MadeThing("B-1", "button", Mass(0), contents=(Said("Ag", Fineness(2), Fineness(0)),)),),
)


@settings(max_examples=150, deadline=None)
@given(draft=drafts)
@example(draft=NOTHING_GOES_IN)
@example(draft=WEIGHS_NOTHING)
def test_any_draft_is_answered_and_judged_as_the_book_would(book: Book, draft: WorkDraft) -> None:
    found = preview_work(book, draft)
    assert found.may_be_recorded == (not look_at(book, draft).faults)
    for one in found.findings:
        assert one.sentence
        assert "\x00" not in one.sentence
    assert [one.gravity for one in found.findings] == sorted(
        (one.gravity for one in found.findings),
        key=[Gravity.REFUSES, Gravity.LACKS, Gravity.WARNS].index,
    )
