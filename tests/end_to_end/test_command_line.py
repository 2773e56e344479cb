"""What can be asked without the window: the calls and shapes that other programs rely on."""

from __future__ import annotations

import csv
import io
import json
import os
import shutil
import subprocess
import sys
from pathlib import Path
from typing import Any

import openpyxl
import pytest

from vault import __version__
from vault.__main__ import main

ROOT = Path(__file__).resolve().parent.parent.parent
EXAMPLE = ROOT / "resources" / "examples" / "example-daybook.csv"
HOWS = {"assayed", "worked out", "declared", "not known"}


@pytest.fixture(scope="module")
def book(tmp_path_factory: pytest.TempPathFactory) -> Path:
    path = tmp_path_factory.mktemp("shop") / "example.shop"
    assert main(["import", str(EXAMPLE), str(path), "--zone", "Europe/Oslo"]) == 0
    return path


def exported(book: Path, what: str, *more: str) -> Any:  # noqa: ANN401 - JSON has no type
    out = book.with_name(f"{what}{''.join(more)}.json")
    assert main(["export", str(book), "--what", what, "--as", "json", *more, "-o", str(out)]) == 0
    return json.loads(out.read_text(encoding="utf-8"))


def test_a_daybook_written_out_and_read_in_again_is_the_same_book(
    book: Path, tmp_path: Path
) -> None:
    out, again, twice = tmp_path / "out.csv", tmp_path / "again.shop", tmp_path / "twice.csv"
    assert main(["export", str(book), "--what", "daybook", "-o", str(out)]) == 0
    assert main(["import", str(out), str(again), "--zone", "Europe/Oslo"]) == 0
    assert main(["export", str(again), "--what", "daybook", "-o", str(twice)]) == 0
    assert out.read_bytes() == twice.read_bytes()


def test_the_chain_of_a_book_read_in_again_has_the_same_head(
    book: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    out, again = tmp_path / "out.csv", tmp_path / "again.shop"
    main(["export", str(book), "--what", "daybook", "-o", str(out)])
    main(["import", str(out), str(again), "--zone", "Europe/Oslo"])
    capsys.readouterr()
    assert main(["check", str(book)]) == 0
    first = capsys.readouterr().out
    assert main(["check", str(again)]) == 0
    assert capsys.readouterr().out == first
    assert "chain proven to" in first


def test_reading_the_same_daybook_twice_changes_nothing(
    book: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    copy = tmp_path / "copy.shop"
    assert main(["backup", str(book), str(copy)]) == 0
    capsys.readouterr()
    assert main(["import", str(EXAMPLE), str(copy)]) == 0
    assert capsys.readouterr().out.startswith("0 entries read")


def test_stock_has_every_key_always(book: Path) -> None:
    stock = exported(book, "stock")
    assert set(stock) == {"as_of", "items", "totals", "balance"}
    keys = {"tag", "form", "place", "lot", "party", "state", "gross_g", "content"}
    for item in stock["items"]:
        assert set(item) == keys
        for content in item["content"].values():
            assert set(content) == {"fine_g", "u_g", "how"}
            assert content["how"] in HOWS
            assert (content["fine_g"] is None) == (content["how"] == "not known")
    for total in stock["totals"].values():
        assert {"fine_g", "u_g", "by_form"} <= set(total)
        assert all(set(one) == {"fine_g", "u_g"} for one in total["by_form"].values())
    for balance in stock["balance"].values():
        assert {"received_g", "on_hand_g", "out_g", "unaccounted_g"} <= set(balance)


def micrograms(grams: float) -> int:
    return round(grams * 1_000_000)


def test_the_balance_of_the_figures_shown_closes_to_the_microgram(book: Path) -> None:
    stock = exported(book, "stock")
    for metal, balance in stock["balance"].items():
        parts = sum(micrograms(balance[one]) for one in ("on_hand_g", "out_g", "unaccounted_g"))
        assert parts == micrograms(balance["received_g"]), metal
        here = [
            micrograms(item["content"][metal]["fine_g"])
            for item in stock["items"]
            if item["state"] == "on hand" and item["content"].get(metal, {}).get("fine_g")
        ]
        assert sum(here) == micrograms(balance["on_hand_g"])
        assert sum(here) == micrograms(stock["totals"][metal]["fine_g"])


def test_origins_name_the_lot_with_grams_and_share(book: Path) -> None:
    origins = exported(book, "origins")["items"]
    shares = origins["B-0001"]["Ag"]
    assert shares[0]["lot"] == "L-001"
    assert sum(one["share"] for one in shares) == pytest.approx(1)
    stock = {item["tag"]: item for item in exported(book, "stock")["items"]}
    whole = stock["B-0001"]["content"]["Ag"]["fine_g"]
    assert sum(micrograms(one["fine_g"]) for one in shares) == micrograms(whole)


def test_the_four_parts_of_a_fate_add_up_to_what_was_received(book: Path) -> None:
    fate = exported(book, "fate")["lots"]["L-001"]["Ag"]
    parts = ("on_hand_g", "residues_g", "out_g", "unaccounted_g")
    assert sum(micrograms(fate[one]) for one in parts) == micrograms(fate["received_g"])
    assert {one["tag"] for one in fate["items"]} >= {"B-0001", "C-0001", "S-0001"}


def test_residues_list_containers_and_what_is_not_known(book: Path) -> None:
    residues = exported(book, "residues")
    assert set(residues) == {"total", "containers", "not_known"}
    drum = next(one for one in residues["containers"] if one["place"] == "drum D")
    assert drum["items"] == 1
    assert drum["gross_g"] is None, "slag that was never weighed has no weight of nothing"
    assert drum["content"]["Ag"]["u_g"] > 0


def test_figures_on_a_day_know_nothing_of_later_facts(book: Path) -> None:
    before = {one["tag"]: one for one in exported(book, "stock", "--at", "2031-06-30")["items"]}
    after = {one["tag"]: one for one in exported(book, "stock")["items"]}
    assert before["C-0001"]["content"]["Ag"]["how"] == "worked out"
    assert after["C-0001"]["content"]["Ag"]["how"] == "assayed", "the settlement agreed it"
    assert before["C-0001"]["content"]["Ag"]["u_g"] > 5 * after["C-0001"]["content"]["Ag"]["u_g"]
    early = exported(book, "stock", "--at", "2031-03-01")["items"]
    assert [one["tag"] for one in early] == ["R-0001", "R-0002"]


@pytest.mark.parametrize("what", ["daybook", "stock", "origins", "fate", "residues", "turnover"])
def test_every_export_is_also_a_table(book: Path, what: str, tmp_path: Path) -> None:
    table, workbook = tmp_path / "out.csv", tmp_path / "out.xlsx"
    assert main(["export", str(book), "--what", what, "-o", str(table)]) == 0
    assert main(["export", str(book), "--what", what, "-o", str(workbook)]) == 0
    rows = list(csv.reader(io.StringIO(table.read_text(encoding="utf-8"))))
    sheet = openpyxl.load_workbook(workbook).active
    assert sheet is not None
    assert [cell.value for cell in next(sheet.iter_rows())] == rows[0]
    assert sheet.max_row == len(rows) > 1


def test_a_workbook_does_not_go_to_standard_output(
    book: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    assert main(["export", str(book), "--what", "stock", "--as", "xlsx"]) == 2
    assert "-o" in capsys.readouterr().err


def test_a_bad_daybook_is_refused_with_every_fault_and_no_file_is_left(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    bad, file = tmp_path / "bad.csv", tmp_path / "new.shop"
    text = EXAMPLE.read_text(encoding="utf-8")
    bad.write_text(text.replace("512.40", "-512.40").replace("991.0", "1991"), encoding="utf-8")
    assert main(["import", str(bad), str(file)]) == 2
    told = capsys.readouterr().err
    assert "Row 3, column gross_g" in told
    assert "column Ag" in told
    assert list(tmp_path.iterdir()) == [bad, tmp_path / "home"] or not file.exists()
    assert not list(tmp_path.glob("*.shop*"))
    assert not list(tmp_path.glob(".*shop*"))


def test_a_bad_daybook_leaves_an_existing_book_as_it_was(book: Path, tmp_path: Path) -> None:
    copy, bad = tmp_path / "copy.shop", tmp_path / "bad.csv"
    shutil.copy(book, copy)
    before = exported(copy, "daybook")
    bad.write_text(
        "entry,when,by,act,role,tag,place\n"
        "17,2031-08-01,Imke,move,of,A-0001,safe\n"
        "18,2031-08-01,Imke,move,of,B-0001,safe\n",
        encoding="utf-8",
    )
    assert main(["import", str(bad), str(copy)]) == 2
    assert exported(copy, "daybook") == before


def test_an_altered_byte_fails_the_check(
    book: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    copy = tmp_path / "copy.shop"
    main(["backup", str(book), str(copy)])
    data = bytearray(copy.read_bytes())
    at = data.index(b"wrong drum")
    data[at : at + 5] = b"right"
    copy.write_bytes(data)
    capsys.readouterr()
    assert main(["check", str(copy)]) == 1
    assert "Entry 13" in capsys.readouterr().out


@pytest.mark.parametrize(
    ("words", "told"),
    [
        (["check", "nowhere.shop"], "no book"),
        (["import", "nowhere.csv", "new.shop"], "nowhere.csv"),
        (["export", "nowhere.shop", "--what", "stock"], "no book"),
        (["import", str(EXAMPLE), "new.shop", "--zone", "Mars/Olympus"], "time zone"),
    ],
)
def test_wrong_input_gets_one_sentence_and_status_two(
    words: list[str],
    told: str,
    tmp_path: Path,
    monkeypatch: pytest.MonkeyPatch,
    capsys: pytest.CaptureFixture[str],
) -> None:
    monkeypatch.chdir(tmp_path)
    assert main(words) == 2
    said = capsys.readouterr()
    assert told in said.err
    assert said.err.count("\n") == 1
    assert "Traceback" not in said.err


def test_a_text_file_is_no_book(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    text = tmp_path / "letter.shop"
    text.write_text("Dear Imke, " * 200, encoding="utf-8")
    assert main(["check", str(text)]) == 2
    assert "not a book" in capsys.readouterr().err


def test_the_command_runs_as_a_module_and_tells_its_version() -> None:
    done = subprocess.run(
        [sys.executable, "-m", "vault", "--version"],
        cwd=ROOT,
        env={**os.environ, "PYTHONWARNINGS": "error"},
        capture_output=True,
        text=True,
        check=True,
    )
    assert done.stdout.split()[-1] == __version__
