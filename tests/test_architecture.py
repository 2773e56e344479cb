"""The rules of the house as tests: which layer may import which, sizes, and names to avoid."""

from __future__ import annotations

import ast
import shutil
import subprocess
import sys
import tomllib
from collections.abc import Iterator
from pathlib import Path

import pytest

from kept_files import kept_files, kept_names

ROOT = Path(__file__).resolve().parent.parent
VAULT = ROOT / "vault"
CONTRACTS = tomllib.loads((ROOT / "pyproject.toml").read_text(encoding="utf-8"))["tool"][
    "importlinter"
]["contracts"]

# For each contract one import that it must refuse, and the file in which it is planted.
VIOLATIONS = {
    "The arrow: core, reckoning and bench, store, application, screens, start": (
        "vault/store/errors.py",
        "import vault.application.book",
    ),
    "Screens reach the file and the figures only through the application": (
        "vault/screens/numbers.py",
        "import vault.store.errors",
    ),
    "core is plain Python": ("vault/core/masses.py", "import numpy"),
    "reckoning knows no file and no window": ("vault/reckoning/contents.py", "import sqlalchemy"),
    "Only the store speaks to the database, and it knows no window": (
        "vault/application/changes.py",
        "import sqlalchemy",
    ),
    "Qt lives in screens and start only": ("vault/application/changes.py", "import PySide6"),
    "Only the bench speaks to ports and draws symbols": (
        "vault/application/changes.py",
        "import serial",
    ),
    "Arrays live in reckoning and in charts only": ("vault/store/errors.py", "import numpy"),
}

# Drawers into which things fall and are not found again.
DRAWERS = {"utils", "helpers", "common", "misc", "manager", "base"}

# Longest function and file that a reader is asked to hold in mind; tables of records are exempt.
MOST_LINES_OF_A_FILE = 450
MOST_LINES_OF_A_FUNCTION = 60
LONG_BY_NATURE: dict[str, str] = {}


def python_files() -> list[Path]:
    return sorted(VAULT.rglob("*.py"))


def lint_imports(root: Path) -> subprocess.CompletedProcess[str]:
    tool = Path(sys.executable).parent / "lint-imports"
    return subprocess.run(
        [str(tool), "--no-cache"], cwd=root, capture_output=True, text=True, check=False
    )


@pytest.fixture
def copy_of_the_package(tmp_path: Path) -> Path:
    shutil.copytree(VAULT, tmp_path / "vault", ignore=shutil.ignore_patterns("__pycache__"))
    shutil.copy(ROOT / "pyproject.toml", tmp_path)
    return tmp_path


def test_every_import_contract_has_a_violation_that_proves_it_bites() -> None:
    assert {contract["name"] for contract in CONTRACTS} == set(VIOLATIONS)


@pytest.mark.parametrize("name", VIOLATIONS)
def test_a_forbidden_import_is_refused(name: str, copy_of_the_package: Path) -> None:
    place, line = VIOLATIONS[name]
    file = copy_of_the_package / place
    text = file.read_text(encoding="utf-8")
    after = "from __future__ import annotations\n"
    assert after in text
    file.write_text(text.replace(after, f"{after}\n{line}\n", 1), encoding="utf-8")
    done = lint_imports(copy_of_the_package)
    assert done.returncode == 1, done.stdout
    assert f"{name} BROKEN" in " ".join(done.stdout.split())


def test_no_module_is_a_drawer() -> None:
    named = [path for path in python_files() if set(path.with_suffix("").parts) & DRAWERS]
    assert named == []


def test_files_are_short_enough_to_be_read() -> None:
    long = {
        str(path.relative_to(ROOT)): lines
        for path in python_files()
        if (lines := len(path.read_text(encoding="utf-8").splitlines())) > MOST_LINES_OF_A_FILE
    }
    assert set(long) <= set(LONG_BY_NATURE), long


def functions() -> Iterator[tuple[Path, ast.FunctionDef | ast.AsyncFunctionDef]]:
    for path in python_files():
        for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
            if isinstance(node, ast.FunctionDef | ast.AsyncFunctionDef):
                yield path, node


def test_functions_are_short_enough_to_be_read() -> None:
    long = [
        f"{path.relative_to(ROOT)}:{node.lineno} {node.name}"
        for path, node in functions()
        if _lines_of_code(node) > MOST_LINES_OF_A_FUNCTION
    ]
    assert long == []


def _lines_of_code(node: ast.FunctionDef | ast.AsyncFunctionDef) -> int:
    first = node.body[0]
    has_words = isinstance(first, ast.Expr) and isinstance(first.value, ast.Constant)
    start = (first.end_lineno or 0) + 1 if has_words else first.lineno
    return (node.end_lineno or 0) - start + 1


def test_every_module_says_in_one_line_what_lives_in_it() -> None:
    silent = [
        path
        for path in python_files()
        if not (ast.get_docstring(ast.parse(path.read_text(encoding="utf-8"))) or "").strip()
    ]
    assert silent == []


def words_of(path: Path) -> set[str]:
    tree = ast.parse(path.read_text(encoding="utf-8"))
    names = {node.id for node in ast.walk(tree) if isinstance(node, ast.Name)}
    return names | {node.attr for node in ast.walk(tree) if isinstance(node, ast.Attribute)}


@pytest.mark.parametrize(
    ("name", "why"),
    [
        ("processEvents", "re-entrancy; long work goes through screens/background.py"),
        ("QSortFilterProxyModel", "10 s at a million items; sorting is the query's"),
    ],
)
def test_a_forbidden_name_is_not_used(name: str, why: str) -> None:
    assert [path for path in python_files() if name in words_of(path)] == [], why


def test_broad_excepts_stand_only_where_bugs_are_reported() -> None:
    allowed = {"background.py", "failures.py"}
    broad = [
        f"{path.relative_to(ROOT)}:{node.lineno}"
        for path in python_files()
        if path.name not in allowed
        for node in ast.walk(ast.parse(path.read_text(encoding="utf-8")))
        if isinstance(node, ast.ExceptHandler)
        and (node.type is None or (isinstance(node.type, ast.Name) and node.type.id == "Exception"))
    ]
    assert broad == []


def test_the_top_level_holds_what_was_agreed_and_nothing_else() -> None:
    tops = kept_names(ROOT)
    agreed = {"README.md", "DEVELOPERS.md", "pyproject.toml", "vault", "resources", "tests"}
    assert {"vault", "tests"} <= tops
    assert {top for top in tops if not top.startswith(".")} <= agreed | {"demo_db"}


def test_what_is_made_anew_is_not_among_the_files_that_are_kept(tmp_path: Path) -> None:
    folder = tmp_path / "project"
    for name in (".git", "vault/__pycache__", "build", "metal.egg-info", "scratch"):
        (folder / name).mkdir(parents=True)
        (folder / name / "one.py").touch()
    (folder / "vault" / "two.py").touch()
    shutil.copy(ROOT / ".gitignore", folder)
    assert kept_names(folder) == {".gitignore", "vault", "scratch"}
    names = {str(one.relative_to(folder)) for one in kept_files(folder)}
    assert names == {".gitignore", str(Path("vault/two.py")), str(Path("scratch/one.py"))}
