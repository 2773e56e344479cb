"""What the bench records, in words: on the second example daybook."""

from __future__ import annotations

import pytest

from spoilt_daybooks import EXAMPLES, ZONE
from vault.application.exchange.daybook_csv import read_daybook
from vault.application.wording import entry_in_words, for_item, line_in_words
from vault.core.daybook import Act, Entry

EXAMPLE = EXAMPLES / "example-bench-daybook.csv"


@pytest.fixture(scope="module")
def entries() -> dict[int, Entry]:
    return {one.number: one for one in read_daybook(EXAMPLE, zone=ZONE).entries}


@pytest.mark.parametrize(
    ("number", "words"),
    [
        (1, "bench scale showed 200.01 g under 200 g"),
        (3, "R-0101, R-0102: “the bag as it came”, “the rings”"),
        (5, "drum D: seal 0417 applied, seen by Ole"),
        (7, "drum D: seal 0417 checked"),
        (8, "drum D: seal 0417 broken, seen by Ole"),
    ],
)
def test_an_entry_of_the_bench_reads_as_a_person_would_say_it(
    entries: dict[int, Entry], number: int, words: str
) -> None:
    assert entry_in_words(entries[number]) == words


@pytest.mark.parametrize(
    ("number", "tag", "words"),
    [
        (
            2,
            "R-0102",
            "received with lot L-101 from Pennant Bench School, 96.3 g, held until 2031-05-01",
        ),
        (3, "R-0102", "photographed: the rings"),
        (6, "R-0102", "seal 0418 applied, seen by Ole"),
        (9, "S-0101", "weighed 158.3 g on bench scale"),
        (11, "R-0102", "seal 0418 broken, seen by Ole"),
    ],
)
def test_the_history_of_an_item_tells_it(
    entries: dict[int, Entry], number: int, tag: str, words: str
) -> None:
    assert for_item(entries[number], tag) == words


def test_a_line_of_the_bench_says_everything_that_it_holds(entries: dict[int, Entry]) -> None:
    said = {
        number: line_in_words(entries[number], entries[number].lines[at])
        for number, at in ((1, 0), (2, 0), (2, 1), (3, 0), (4, 0), (7, 0))
    }
    assert said == {
        1: "line · 200.01 g · test weight 200 g · on bench scale",
        2: (
            "in R-0102 scrap · lot L-101 · Pennant Bench School · toll · 96.3 g · → bench · "
            "“rings and chains” · held until 2031-05-01 · on bench scale · seen by Ole"
        ),
        3: "of R-0101 · picture 5d4a3f0b6a9c… · “the bag as it came”",
        4: "used R-0101 · 1 080 °C, 40 min",
        7: "checked drum D · seal 0417",
    }
    assert "tare 18.4 g" in line_in_words(entries[2], entries[2].lines[0])


def test_a_photo_without_a_caption_is_told_by_its_item(entries: dict[int, Entry]) -> None:
    photo = next(one for one in entries.values() if one.act is Act.PHOTO)
    bare = Entry(
        photo.number,
        photo.when,
        photo.by,
        photo.act,
        tuple(type(one)(one.role, tag=one.tag, ref=one.ref) for one in photo.lines),
    )
    assert entry_in_words(bare) == "R-0101, R-0102"
    assert for_item(bare, "R-0101") == "photographed"
