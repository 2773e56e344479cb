"""The demonstration's files: what was agreed is in them, and they are built the same every time."""

from __future__ import annotations

import csv
import json
import subprocess
import sys
from collections import Counter
from datetime import UTC, date
from pathlib import Path
from zoneinfo import ZoneInfo

import pytest

from demo_db import build_demo
from demo_db.simulator.files import daybook_text, truth_text
from demo_db.simulator.notebook import Notebook
from vault.application.exchange.daybook_csv import read_daybook
from vault.core.daybook import Act, Entry, Process, Role
from vault.core.items import State
from vault.core.rules import replay
from vault.core.shop import Shop

ROOT = Path(__file__).resolve().parents[3]
DEMO = ROOT / "demo_db"
EXAMPLE = ROOT / "resources" / "examples" / "example-daybook.csv"


@pytest.fixture(scope="module")
def entries() -> tuple[Entry, ...]:
    """The committed daybook, read as anybody would read it."""
    reading = read_daybook(DEMO / "daybook.csv", zone=UTC)
    assert reading.faults == ()
    return reading.entries


@pytest.fixture(scope="module")
def shop(entries: tuple[Entry, ...]) -> Shop:
    return replay(entries)


@pytest.fixture(scope="module")
def truth() -> dict[str, dict[str, dict[str, int]]]:
    found: dict[str, dict[str, dict[str, int]]] = json.loads(
        (DEMO / "truth.json").read_text(encoding="utf-8")
    )
    return found


def test_the_committed_files_are_those_that_are_built() -> None:
    for path, wanted in build_demo.built().items():
        assert path.read_bytes() == wanted, f"{path.name}: run python demo_db/build_demo.py"


def test_another_python_process_with_other_hashes_builds_the_same_bytes() -> None:
    for seed in ("1", "2"):
        done = subprocess.run(
            [sys.executable, str(DEMO / "build_demo.py"), "--check"],
            env={"PYTHONHASHSEED": seed, "PYTHONPATH": str(ROOT), "PATH": ""},
            cwd=ROOT.parent,
            capture_output=True,
            text=True,
            check=False,
        )
        assert done.returncode == 0, done.stdout + done.stderr


def test_check_tells_an_altered_file(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.setattr(build_demo, "HERE", tmp_path)
    assert build_demo.main([]) == 0
    assert build_demo.main(["--check"]) == 0
    with (tmp_path / "truth.json").open("ab") as file:
        file.write(b" ")
    assert build_demo.main(["--check"]) == 1
    assert "truth.json is NOT as built" in capsys.readouterr().out


def test_a_word_not_understood_is_refused(capsys: pytest.CaptureFixture[str]) -> None:
    assert build_demo.main(["--chek"]) == 2
    assert "--check" in capsys.readouterr().err


def test_the_daybook_has_the_columns_of_the_example_in_their_order() -> None:
    headers = []
    for path in (DEMO / "daybook.csv", EXAMPLE):
        with path.open(encoding="utf-8", newline="") as file:
            headers.append(next(csv.reader(file)))
    assert headers[0] == headers[1]


def test_the_daybook_stays_below_a_megabyte() -> None:
    assert (DEMO / "daybook.csv").stat().st_size < 1_000_000


@pytest.mark.parametrize("zone", ["Europe/Berlin", "America/Los_Angeles", "Pacific/Auckland"])
def test_the_daybook_reads_without_a_fault_wherever_the_shop_lies(zone: str) -> None:
    reading = read_daybook(DEMO / "daybook.csv", zone=ZoneInfo(zone))
    assert reading.faults == ()


def test_reading_gives_the_entries_that_were_written_down(
    told: Notebook, entries: tuple[Entry, ...]
) -> None:
    assert entries == tuple(told.entries)
    assert daybook_text(told).encode() == (DEMO / "daybook.csv").read_bytes()
    assert truth_text(told).encode() == (DEMO / "truth.json").read_bytes()


def test_two_years_end_in_the_middle_of_march_2031(entries: tuple[Entry, ...]) -> None:
    assert entries[0].when.day == date(2029, 3, 14)
    assert date(2031, 3, 10) <= entries[-1].when.day <= date(2031, 3, 15)


def test_customers_lots_and_items_are_as_many_as_were_asked_for(shop: Shop) -> None:
    customers = {lot.party for lot in shop.lots.values() if lot.party}
    assert len(customers) >= 12
    assert len(shop.lots) >= 60
    assert len(shop.items) >= 900


def test_every_act_process_and_role_occurs(entries: tuple[Entry, ...]) -> None:
    # The notebook of the demonstration was kept without photos, seals and checks of scales.
    kept_without = {Act.PHOTO, Act.SEAL, Act.SCALE_CHECK}
    assert {entry.act for entry in entries} == set(Act) - kept_without
    wanted = set(Process) - {Process.SAMPLE, Process.OTHER}
    assert wanted <= {entry.process for entry in entries if entry.process}
    of_seals = {Role.APPLIED, Role.CHECKED, Role.BROKEN}
    assert {line.role for entry in entries for line in entry.lines} == set(Role) - of_seals


def test_all_terms_metals_and_several_methods_occur(entries: tuple[Entry, ...]) -> None:
    lines = [line for entry in entries for line in entry.lines]
    terms = {line.terms for line in lines if line.role is Role.IN}
    assert terms == {"toll", "bought", "own"}
    assert {said.metal for line in lines for said in line.contents} == {"Ag", "Au", "Pt", "Pd"}
    methods = {line.how for line in lines if line.contents}
    assert {"declared", "fire assay", "XRF", "ICP", "settlement"} <= methods


def test_prices_of_four_metals_are_set_every_month(entries: tuple[Entry, ...]) -> None:
    months = {
        (entry.when.day.year, entry.when.day.month) for entry in entries if entry.act is Act.PRICE
    }
    assert len(months) == 25
    for entry in entries:
        if entry.act is Act.PRICE:
            assert {line.ref for line in entry.lines} == {"Ag", "Au", "Pt", "Pd"}


def test_some_slag_was_not_weighed(shop: Shop) -> None:
    slags = [item for item in shop.items.values() if item.form == "slag"]
    unweighed = sum(item.gross is None for item in slags)
    assert 0.1 < unweighed / len(slags) < 0.5


def test_bars_were_poured_from_several_lots(told: Notebook, shop: Shop) -> None:
    lots_of: dict[str, set[str]] = {}
    for tag, item in shop.items.items():
        maker = shop.entries[item.made_by]
        used = [line.tag for line in maker.lines if line.role is Role.USED]
        lots_of[tag] = {item.lot} if item.lot else set().union(*(lots_of[one] for one in used))
    bars = [len(lots_of[tag]) for tag, item in shop.items.items() if item.form == "bar"]
    assert sum(lots > 2 for lots in bars) >= 5
    assert max(bars) > 10  # through slag of many lots smelted again


def test_slag_was_smelted_again_months_later(shop: Shop) -> None:
    months = [
        (shop.entries[item.used_by].when.day - item.made_on).days / 30
        for item in shop.items.values()
        if item.form == "slag" and item.used_by is not None
    ]
    assert len(months) >= 20
    assert max(months) > 4


def test_drums_of_cupels_were_blended_sampled_and_assayed(
    entries: tuple[Entry, ...], shop: Shop
) -> None:
    blends = [entry for entry in entries if entry.process is Process.BLEND]
    assert len(blends) >= 2
    for entry in blends:
        assert len(entry.lines) > 20
        divided = shop.entries[shop.items[entry.lines[-1].tag].used_by or 0]
        sample = next(
            line.tag for line in divided.lines if line.form == "sample" and line.role is Role.MADE
        )
        assert shop.items[sample].sayings[0].how == "fire assay"


def test_shipments_were_settled_months_later_and_one_is_still_open(
    entries: tuple[Entry, ...], shop: Shop
) -> None:
    sent = {ref: shop.entries[numbers[0]].when.day for ref, numbers in shop.sent.items()}
    settled = {ref: shop.entries[numbers[0]].when.day for ref, numbers in shop.settled.items()}
    assert len(settled) >= 5
    assert set(sent) - set(settled)
    assert all((day - sent[ref]).days >= 20 for ref, day in settled.items())
    charges = [
        line.money
        for entry in entries
        if entry.act is Act.SETTLE
        for line in entry.lines
        if line.money is not None
    ]
    assert any(one.millionths < 0 for one in charges)
    assert any(one.millionths > 0 for one in charges)


def test_customers_metal_was_returned_and_bought_metal_sold(shop: Shop) -> None:
    states = Counter(item.state for item in shop.items.values())
    assert states[State.RETURNED] >= 20
    assert states[State.SOLD] >= 3


def test_a_realistic_safe_and_many_residues_are_on_hand_at_the_end(shop: Shop) -> None:
    on_hand = [item for item in shop.items.values() if item.state is State.ON_HAND]
    places = Counter(item.place for item in on_hand)
    assert places["safe top shelf"] + places["safe lower shelf"] >= 6
    assert shop.places_around("safe top shelf") == ("safe top shelf", "safe")
    for place in ("tray", "bench", "drum C", "drum D", "tub 2", "tub 4", "tin 5", "rack"):
        assert places[place], place
    assert sum(item.is_residue for item in on_hand) >= 120


def test_several_lots_are_still_in_progress(shop: Shop) -> None:
    on_bench = {
        item.lot for item in shop.items.values() if item.state is State.ON_HAND and item.lot
    }
    assert len(on_bench) >= 2


def test_the_metal_locked_up_in_residues_is_worth_a_question(
    shop: Shop, truth: dict[str, dict[str, dict[str, int]]]
) -> None:
    locked = sum(
        truth["items"][tag].get("Ag", 0)
        for tag, item in shop.items.items()
        if item.is_residue and item.state is State.ON_HAND
    )
    assert 150e6 < locked < 900e6


def test_the_truth_knows_every_item_of_the_book(
    shop: Shop, truth: dict[str, dict[str, dict[str, int]]]
) -> None:
    assert set(truth["items"]) == set(shop.items)
