"""Every format ever released opens, with every fact in it; a failed step changes nothing."""

from __future__ import annotations

import shutil
from collections.abc import Iterator
from contextlib import closing
from datetime import date
from pathlib import Path

import pytest
from sqlalchemy import Engine, create_engine, event
from sqlcipher3 import dbapi2

from old_files import first_format, second_format, third_format
from vault.application.book import Book
from vault.application.changes import Changes
from vault.application.figures import tell_months
from vault.core.daybook import Recorded, Role
from vault.core.items import Photo
from vault.core.masses import Mass
from vault.core.seals import Sealing
from vault.store import book_file, upgrading
from vault.store.book_file import APPLICATION_ID, FORMAT, BookFile, lay_out
from vault.store.entries import load_entries, load_shop
from vault.store.errors import BookDamaged, BookReadOnly, BookTooNew
from vault.store.figures import reported_factors
from vault.store.integrity import prove, schema_of
from vault.store.upgrading import upgrade

OLD_FILES = Path(__file__).resolve().parents[2] / "old_files"
VERSIONS = Path(upgrading.__file__).parent / "migrations" / "versions"

# Each released file, and the head of its chain as it was printed on the day it was made.
HEADS = {
    "first_format.shop": "77731e5a3dfae34b95e4cb7518338e7ed8e48a6cfd38b618a32fda255ae9f933",
    "second_format.shop": "720687c785dd67d23674c40c8c5f561da60b06307465d2e8ce55c1c40f2f929e",
    "third_format.shop": "9b2f8b91576f6d3163447161cfce79009b90abcdbe66d6ba4366db1d057c8a66",
}
ENTRIES = {
    "first_format.shop": first_format.ENTRIES,
    "second_format.shop": second_format.ENTRIES,
    "third_format.shop": third_format.ENTRIES,
}


@pytest.fixture
def first(tmp_path: Path) -> Path:
    """A copy of the file of the first format."""
    return Path(shutil.copy(OLD_FILES / "first_format.shop", tmp_path))


@pytest.fixture
def empty() -> Iterator[Engine]:
    """A database in memory with nothing in it."""
    wire = dbapi2.connect(":memory:", isolation_level=None, check_same_thread=False)
    engine = create_engine("sqlite://", module=dbapi2, creator=lambda: wire)
    event.listen(engine, "begin", lambda connection: connection.exec_driver_sql("BEGIN"))
    yield engine
    engine.dispose()
    wire.close()


def schema(engine: Engine) -> dict[str, str]:
    with engine.connect() as connection:
        return schema_of(connection.connection.driver_connection)


def facts(book: BookFile) -> list[Recorded]:
    with book.reading() as connection:
        return list(load_entries(connection))


def test_every_released_file_is_named_here() -> None:
    assert {path.name for path in OLD_FILES.glob("*.shop")} == set(HEADS)
    assert len(HEADS) == FORMAT


@pytest.mark.parametrize("name", HEADS)
def test_an_old_file_opens_with_every_fact_in_it(tmp_path: Path, name: str) -> None:
    path = Path(shutil.copy(OLD_FILES / name, tmp_path))
    with closing(BookFile.open(path)) as book:
        proof = prove(book)
        told = f"made with another layout? see {OLD_FILES / name.replace('.shop', '.py')}"
        assert proof.broken == (), told
        assert proof.head.hex() == HEADS[name]
        assert [one.entry for one in facts(book)] == list(ENTRIES[name])
        assert book.setting("shop_name") == "The Assay Yard"
        assert book.setting("zone") == "Europe/Oslo"


def test_the_facts_of_the_bench_are_in_the_file_of_the_second_format(tmp_path: Path) -> None:
    path = Path(shutil.copy(OLD_FILES / "second_format.shop", tmp_path))
    with closing(BookFile.open(path)) as book, book.reading() as connection:
        shop = load_shop(connection)
    assert shop.items["R-1"].photos == [Photo(3, "5d" * 32, "the bag as it came")]
    assert shop.items["R-1"].weighings[0].scale == "bench scale"
    assert shop.items["R-2"].hold_until == date(2031, 2, 1)
    assert [one.role.value for one in shop.items["R-2"].seals] == ["applied", "broken"]
    assert shop.seal_on("drum D") == Sealing(7, Role.CHECKED, "0417")
    assert [one.error for one in shop.scale_checks["bench scale"]] == [Mass(10_000)]


def test_what_residues_keep_is_in_the_file_of_the_third_format(tmp_path: Path) -> None:
    path = Path(shutil.copy(OLD_FILES / "third_format.shop", tmp_path))
    with closing(BookFile.open(path)) as book, book.reading() as connection:
        told = reported_factors(connection)
    assert sorted(told) == [date(2031, 1, 31), date(2031, 2, 28)]
    before, after = (one for days in told.values() for one in days)
    assert (before.kind, before.metal) == ("slag of smelting", "Ag")
    assert before.now_ppb == before.guess_ppb == 10_000_000
    # An assay of the slag in February moved it.
    assert after.now_ppb > 13_000_000
    assert after.now_u_ppb < before.now_u_ppb


def test_a_book_of_before_has_every_month_told_with_what_residues_kept(tmp_path: Path) -> None:
    path = Path(shutil.copy(OLD_FILES / "third_format.shop", tmp_path))
    with Book.open(path) as book:
        with book.file.reading() as connection:
            expected = reported_factors(connection)
        with book.file.writing() as connection:
            connection.exec_driver_sql("DROP TABLE reported_factor")
            connection.exec_driver_sql("UPDATE alembic_version SET version_num = '0002'")
            connection.exec_driver_sql("PRAGMA user_version=2")
    with Book.open(path) as book:
        tell_months(book)
        with book.file.reading() as connection:
            told = reported_factors(connection)
        assert told.keys() == expected.keys()
        # A later reckoning may tell a hair otherwise than the one that the file was made with.
        for day, factors in expected.items():
            assert [(one.kind, one.metal) for one in told[day]] == [
                (one.kind, one.metal) for one in factors
            ]
            assert [one.now_ppb for one in told[day]] == pytest.approx(
                [one.now_ppb for one in factors], rel=1e-3
            )
        assert tell_months(book) == Changes()


def test_a_program_of_the_first_format_refuses_a_book_of_the_second(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    path = Path(shutil.copy(OLD_FILES / "second_format.shop", tmp_path))
    monkeypatch.setattr(book_file, "FORMAT", 1)
    with pytest.raises(BookTooNew, match="Install the newer version to open it"):
        BookFile.open(path)


def test_all_steps_together_lead_to_the_layout_of_a_new_book(empty: Engine) -> None:
    upgrade(empty)
    stepped = schema(empty)
    new = create_engine("sqlite://", module=dbapi2, creator=lambda: dbapi2.connect(":memory:"))
    with new.begin() as connection:
        lay_out(connection)
        made = schema_of(connection.connection.driver_connection)
        stamped = connection.exec_driver_sql("SELECT * FROM alembic_version").all()
    new.dispose()
    assert stepped == made
    with empty.connect() as connection:
        assert connection.exec_driver_sql("SELECT * FROM alembic_version").all() == stamped
        assert connection.exec_driver_sql("PRAGMA user_version").scalar() == FORMAT
        assert connection.exec_driver_sql("PRAGMA application_id").scalar() == APPLICATION_ID


def test_a_new_book_has_the_layout_that_the_check_expects(book: BookFile) -> None:
    assert prove(book).broken == ()


# A step that is yet to come ------------------------------------------------------------------

NEXT_STEP = '''
"""A step of the day after tomorrow."""
from alembic import op
import sqlalchemy as sa
revision = "0004"
down_revision = "0003"

def upgrade():
    with op.batch_alter_table("lot", recreate="always") as lot:
        lot.add_column(sa.Column("colour", sa.Text(), nullable=False, server_default="grey"))
    op.execute("{statement}")
    op.execute("PRAGMA user_version=4")
'''


def go_on_to_the_next_format(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, statement: str
) -> None:
    scripts = tmp_path / "scripts"
    shutil.copytree(VERSIONS.parent, scripts, ignore=shutil.ignore_patterns("__pycache__"))
    (scripts / "versions" / "v0004_colours.py").write_text(NEXT_STEP.format(statement=statement))
    monkeypatch.setattr(upgrading, "_SCRIPTS", scripts)
    monkeypatch.setattr(book_file, "FORMAT", FORMAT + 1)


def test_an_older_book_is_brought_up_to_date_when_it_is_opened(
    first: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    with closing(BookFile.open(first)) as book:
        before = facts(book)
    go_on_to_the_next_format(tmp_path, monkeypatch, "UPDATE lot SET colour = 'red'")
    for _ in range(2):
        with closing(BookFile.open(first)) as book:
            assert facts(book) == before
            with book.reading() as connection:
                lots = connection.exec_driver_sql("SELECT name, colour FROM lot").all()
                assert lots == [("L-1", "red")]
                assert connection.exec_driver_sql("PRAGMA user_version").scalar() == 4
                assert connection.exec_driver_sql("PRAGMA foreign_keys").scalar() == 1


def test_an_older_book_opened_for_reading_asks_to_be_brought_up_to_date(
    first: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    go_on_to_the_next_format(tmp_path, monkeypatch, "SELECT 1")
    with pytest.raises(BookReadOnly, match="open it once for writing"):
        BookFile.open(first, writing=False)


@pytest.mark.parametrize(
    ("statement", "kind"),
    [
        ("INSERT INTO nowhere VALUES (1)", Exception),
        ("INSERT INTO line_content VALUES (99, 0, 'Ag', 1, NULL)", BookDamaged),
    ],
    ids=["fails", "loses a reference"],
)
def test_a_step_that_fails_leaves_the_book_as_it_was(
    first: Path,
    tmp_path: Path,
    monkeypatch: pytest.MonkeyPatch,
    statement: str,
    kind: type[Exception],
) -> None:
    with closing(BookFile.open(first)) as book:
        before = facts(book)
    with monkeypatch.context() as patched:
        go_on_to_the_next_format(tmp_path, patched, statement)
        with pytest.raises(kind):
            BookFile.open(first)
    with closing(BookFile.open(first)) as book:
        assert prove(book).broken == ()
        assert facts(book) == before
