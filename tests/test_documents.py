"""README and DEVELOPERS agree with the code: commands, paths, layers, dependencies, version."""

from __future__ import annotations

import re
import subprocess
import tomllib
from pathlib import Path

import pytest

from kept_files import kept_files
from vault import __version__
from vault.__main__ import EXPORTS, main

ROOT = Path(__file__).resolve().parent.parent
README = (ROOT / "README.md").read_text(encoding="utf-8")
DEVELOPERS = (ROOT / "DEVELOPERS.md").read_text(encoding="utf-8")
PROJECT = tomllib.loads((ROOT / "pyproject.toml").read_text(encoding="utf-8"))


def commands_in(text: str) -> list[str]:
    blocks = re.findall(r"```(?:\w*)\n(.*?)```", text, flags=re.DOTALL)
    lines = [line for block in blocks for line in block.splitlines()]
    return [line.split("#")[0].strip() for line in lines if line.split("#")[0].strip()]


def test_readme_opens_with_the_job_and_then_the_two_commands() -> None:
    paragraphs = README.split("\n\n")
    assert paragraphs[0].startswith("# ")
    assert paragraphs[1].startswith("The owner of a small precious-metals recovery shop")
    assert commands_in(README)[:2] == ["bash .start demo", "bash .start tests"]


def test_ci_runs_the_command_that_readme_gives_to_a_newcomer() -> None:
    assert "bash .start tests" in (ROOT / ".ci" / "run").read_text(encoding="utf-8")


def test_the_start_script_refuses_what_it_does_not_know() -> None:
    done = subprocess.run(
        ["bash", ".start", "fly"], cwd=ROOT, capture_output=True, text=True, check=False
    )
    assert done.returncode == 2
    assert "bash .start demo" in done.stderr


@pytest.mark.parametrize("text", [README, DEVELOPERS], ids=["README", "DEVELOPERS"])
def test_every_command_names_files_and_parts_that_exist(text: str) -> None:
    from run_checks import PARTS  # noqa: PLC0415 - the script beside this file

    for command in commands_in(text):
        words = command.split()
        for word in words:
            if word.endswith((".py", ".csv")) and "/" in word:
                assert (ROOT / word).exists(), command
        if "tests/run_checks.py" in words:
            parts = words[words.index("tests/run_checks.py") + 1 :]
            assert set(parts) <= {*PARTS, "all"}, command


@pytest.mark.parametrize("text", [README, DEVELOPERS], ids=["README", "DEVELOPERS"])
def test_every_picture_and_link_within_the_repository_exists(text: str) -> None:
    for target in re.findall(r"\]\(([^)#]+)", text):
        if "://" not in target:
            assert (ROOT / target).exists(), target


def test_every_path_in_the_guessing_table_exists() -> None:
    table = DEVELOPERS.split("## Guessing table")[1].split("##")[0]
    for cell in re.findall(r"`([^`]+)`", table):
        for path in _spelled_out(cell):
            places = [ROOT / path, ROOT / "vault" / path]
            places += [ROOT / "vault" / layer / path for layer in ("reckoning", "store", "screens")]
            places += [ROOT / "vault" / "application" / "queries" / path]
            found = [one for place in places for one in place.parent.glob(place.name)]
            assert found, f"{path} of the guessing table is nowhere"


def _spelled_out(cell: str) -> list[str]:
    """Give the paths of a cell: `a/{b,c}.py` is two."""
    inside = re.search(r"\{([^}]+)\}", cell)
    if inside is None:
        return [cell]
    return [cell.replace(inside[0], one) for one in inside[1].split(",")]


def test_every_layer_in_the_table_is_a_package() -> None:
    table = DEVELOPERS.split("| layer |")[1].split("\n\n")[0]
    for layer in re.findall(r"^\| `(\w+)` \|", table, flags=re.MULTILINE):
        assert (ROOT / "vault" / layer / "__init__.py").exists(), layer


@pytest.mark.parametrize(
    ("made", "way"),
    [
        ("tests/simulation/results.md", "copy its tables there by hand"),
        ("tests/simulation/learning.md", "copy its table there by hand"),
        ("tests/simulation/sending.md", "copy its table there by hand"),
        ("tests/performance/results.md", "python tests/performance/table.py puts them there"),
    ],
)
def test_measured_figures_stand_in_developers_as_they_were_measured(made: str, way: str) -> None:
    rows = [
        line
        for line in (ROOT / made).read_text(encoding="utf-8").splitlines()
        if line.startswith("|")
    ]
    assert len(rows) > 5
    missing = [row for row in rows if row not in DEVELOPERS]
    told = "\n".join(missing)
    assert missing == [], f"these rows of {made} are not in DEVELOPERS.md; {way}:\n{told}"


def test_a_new_table_of_performance_takes_the_place_of_the_old_one_alone() -> None:
    from performance.table import Measured, Table, put_into  # noqa: PLC0415 - beside this file

    told = Table([Measured(1, "cards", "10 items", "1 ms", "2 ms: sums", 0.5, "≤ 1", met=True)])
    now = put_into(DEVELOPERS, told.to_markdown())
    assert told.to_markdown() in now
    assert put_into(now, told.to_markdown()) == now
    old = (ROOT / "tests" / "performance" / "results.md").read_text(encoding="utf-8")
    assert put_into(now, old) == DEVELOPERS
    with pytest.raises(ValueError, match="0 tables"):
        put_into("# Nothing", old)


def test_every_dependency_is_told_with_its_reason() -> None:
    section = DEVELOPERS.split("## Dependencies")[1].split("\n## ")[0].lower()
    extras = PROJECT["project"]["optional-dependencies"]["test"]
    for wanted in [*PROJECT["project"]["dependencies"], *extras]:
        name = re.split(r"[<>=\[ ]", wanted)[0].lower()
        stubs = name.startswith("types-") or name.endswith("-stubs")
        assert stubs or name in section, f"{name} is not in DEVELOPERS, Dependencies"


def test_the_newest_release_in_changes_is_this_version() -> None:
    changes = (ROOT / "resources" / "changes.md").read_text(encoding="utf-8")
    newest = re.search(r"^## \[([^\]]+)\]", changes, flags=re.MULTILINE)
    assert newest is not None
    assert newest[1] == __version__


def test_every_export_of_the_command_line_is_told_in_readme() -> None:
    for what in EXPORTS:
        assert what in README


def test_help_is_there_for_every_call(capsys: pytest.CaptureFixture[str]) -> None:
    for words in ([], ["import"], ["export"], ["check"], ["backup"]):
        with pytest.raises(SystemExit) as ended:
            main([*words, "--help"])
        assert ended.value.code == 0
        assert "metal-on-hand" in capsys.readouterr().out


_FOREIGN = re.compile(rb"/wor[k]/|\.librar[y]/|seed do[c]", re.IGNORECASE)


def test_no_file_speaks_of_the_place_where_it_was_written() -> None:
    read = [(one, one.read_bytes()) for one in kept_files(ROOT)]
    texts = [(one, text) for one, text in read if b"\0" not in text[:8000]]
    assert len(texts) > 500
    speaking = [str(one.relative_to(ROOT)) for one, text in texts if _FOREIGN.search(text)]
    assert speaking == [], "words that do not belong in the project"
