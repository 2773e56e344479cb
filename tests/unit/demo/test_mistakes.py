"""The planted mistakes: each stands in the book as the truth says, and the right value is known."""

from __future__ import annotations

import pytest

from demo_db.simulator.notebook import Mistake, Notebook
from vault.core.daybook import Act, Role
from vault.core.items import State


def planted(told: Notebook, kind: str) -> list[Mistake]:
    found = [one for one in told.mistakes if one.kind == kind]
    assert found, kind
    return found


def test_every_kind_of_mistake_was_planted(told: Notebook) -> None:
    kinds = {one.kind for one in told.mistakes}
    wanted = {"assay typed wrong", "bags swapped", "content not known", "missing", "struck"}
    assert kinds == wanted


def test_one_bar_assay_has_a_nine_read_as_a_six(told: Notebook) -> None:
    (one,) = planted(told, "assay typed wrong")
    line = told.entries[one.entries[0] - 1].lines[0]
    silver = next(said for said in line.contents if said.metal == "Ag")
    assert silver.u is not None
    wrong, right = (text.removesuffix(" ‰ Ag") for text in (one.wrong, one.right))
    assert line.tag == one.tags[0]
    assert silver.fineness.to_text() == wrong
    assert right == wrong.replace("96", "99", 1)
    true_permille = told.things[line.tag].stuff.share("Ag") * 1000
    assert float(right) == pytest.approx(true_permille, abs=4 * float(silver.u.permille))


def test_the_bar_with_the_wrong_assay_can_be_checked_by_its_beads_and_by_xrf(
    told: Notebook,
) -> None:
    (one,) = planted(told, "assay typed wrong")
    dip, bar = one.tags
    items = told.shop.items
    assert items[bar].sayings[0].how == "XRF"
    assert items[bar].state is State.ON_HAND
    pour = told.shop.entries[items[bar].made_by]
    beads = [line.tag for line in pour.lines if line.role is Role.USED]
    assayed = 0
    for bead in beads:
        maker = told.shop.entries[items[bead].made_by]
        tags = [line.tag for line in maker.lines if line.role is Role.MADE]
        assayed += any(items[tag].sayings for tag in tags)
    assert assayed >= 3
    assert items[dip].made_by == items[bar].made_by


def test_two_bags_of_different_lots_were_worked_under_each_others_tags(told: Notebook) -> None:
    (one,) = planted(told, "bags swapped")
    lots = {told.shop.items[tag].lot for tag in one.tags}
    assert len(lots) == 2
    in_book = [told.shop.items[tag].used_by or 0 for tag in one.tags]
    in_truth = [work.entry for tag in one.tags for work in told.works.values() if tag in work.used]
    assert sorted(in_book) == sorted(one.entries)
    assert in_book == in_truth[::-1]
    # Not to be told by the scale: what went in under either tag weighed about the same.
    first, second = (told.things[tag].stuff for tag in one.tags)
    assert first.mass_ug == pytest.approx(second.mass_ug, rel=0.05)
    assert abs(first["Ag"] - second["Ag"]) > 50_000_000


def test_the_swapped_bags_were_assayed_before_and_their_buttons_after(told: Notebook) -> None:
    (one,) = planted(told, "bags swapped")
    items = told.shop.items
    for tag in one.tags:
        assert items[tag].sayings[-1].how == "XRF"
        smelt = told.shop.entries[items[tag].used_by or 0]
        button = next(line.tag for line in smelt.lines if line.form == "button")
        divided = told.shop.entries[items[button].used_by or 0]
        sample = next(line.tag for line in divided.lines if line.form == "sample")
        assert items[sample].sayings[0].how == "fire assay"


def test_of_some_things_nobody_knows_anything(told: Notebook) -> None:
    unknown = [tag for one in planted(told, "content not known") for tag in one.tags]
    items = told.shop.items
    assert all(items[tag].sayings == [] for tag in unknown)
    assert all(items[tag].state is State.ON_HAND for tag in unknown)
    assert sum(items[tag].gross is None for tag in unknown) == 1
    assert [items[tag].form for tag in unknown].count("dust") == 2


def test_a_sample_was_missing_at_a_count_and_is_found_again(told: Notebook) -> None:
    (one,) = planted(told, "missing")
    item = told.shop.items[one.tags[0]]
    assert [passage.state for passage in item.passages] == [State.MISSING, State.ON_HAND]


def test_entries_of_five_acts_were_struck_and_recorded_anew(told: Notebook) -> None:
    struck = planted(told, "struck")
    acts = set()
    for one in struck:
        wrong, strike = (told.entries[number - 1] for number in one.entries)
        anew = told.entries[strike.number]
        assert strike.act is Act.STRIKE
        assert told.shop.struck[wrong.number] == strike.number
        assert anew.act is wrong.act
        assert anew.lines != wrong.lines
        acts.add(wrong.act)
    assert acts == {Act.RECEIVE, Act.WORK, Act.WEIGH, Act.ASSAY, Act.MOVE}


def test_what_a_struck_entry_made_got_new_tags(told: Notebook) -> None:
    for number in told.shop.struck:
        for line in told.shop.entries[number].lines:
            if line.role in {Role.IN, Role.MADE}:
                assert line.tag in told.shop.given
                assert line.tag not in told.shop.items
