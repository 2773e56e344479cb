"""From a filled-in work to the entries that record it."""

from __future__ import annotations

from builders import HOUSE, mass, received, said, thing
from vault.application.operations.work_draft import (
    AddedThing,
    MadeThing,
    PartTaken,
    UsedThing,
    WorkDraft,
)
from vault.application.operations.works import drafts_of
from vault.core.daybook import Act, Entry, Process, Role
from vault.core.rules import faults_of, replay


def entries_of(work: WorkDraft, first: int) -> list[Entry]:
    return [
        Entry(
            number,
            draft.when or received(number, thing("X", "bar")).when,
            HOUSE,
            draft.act,
            draft.lines,
            draft.process,
        )
        for number, draft in enumerate(drafts_of(work), first)
    ]


def test_whole_items_make_one_entry_with_the_note_at_the_first_of_them() -> None:
    work = WorkDraft(
        Process.CUPEL,
        used=(UsedThing("K-1"), UsedThing("K-2")),
        added=(AddedThing("lead", mass("120"), contents=said("Ag 0.02")),),
        made=(
            MadeThing("K-3", "bead", mass("150.85"), tare=mass("3"), place="tray", scale="A"),
            MadeThing("C-1", "cupel"),
        ),
        note="blicked clean",
        furnace="965 °C, 85 min",
    )
    (draft,) = drafts_of(work)
    assert (draft.act, draft.process) == (Act.WORK, Process.CUPEL)
    assert [line.role for line in draft.lines] == [Role.USED] * 2 + [Role.ADDED] + [Role.MADE] * 2
    assert [line.note for line in draft.lines] == ["blicked clean", "", "", "", ""]
    assert [line.furnace for line in draft.lines] == ["965 °C, 85 min", "", "", "", ""]
    assert draft.lines[2].how == "declared"
    assert (draft.lines[3].tare, draft.lines[3].scale) == (mass("3"), "A")
    assert draft.lines[3].place == "tray"


def test_a_part_of_an_item_is_divided_off_first_and_the_book_takes_both() -> None:
    shop = replay([received(1, thing("R-1", "filings", "300"))])
    part = PartTaken("R-2", mass("100"), rest_tag="R-3", rest_gross=mass("200"), rest_place="shelf")
    work = WorkDraft(
        Process.SMELT,
        used=(UsedThing("R-1", "filings", part),),
        made=(MadeThing("B-1", "button", mass("90")),),
    )
    divide, smelt = entries_of(work, 2)
    assert divide.process is Process.DIVIDE
    assert faults_of(divide, shop) == []
    shop.take(divide)
    assert faults_of(smelt, shop) == []
    shop.take(smelt)
    assert shop.items["R-3"].place == "shelf"
    assert shop.items["R-2"].used_by == 3


def test_an_empty_draft_gives_an_entry_that_is_refused_in_words() -> None:
    (entry,) = entries_of(WorkDraft(), 1)
    sentences = [fault.sentence for fault in faults_of(entry, replay([]))]
    assert sentences
