"""The cautions of a work, by what is done and to what."""

from __future__ import annotations

import pytest

from vault.core.daybook import Process
from vault.core.work_cautions import (
    ACIDS,
    LEAD_DUST,
    LEAD_FUME,
    MERCURY_VAPOUR,
    METAL_FUME,
    SILICA_DUST,
    STEAM,
    cautions_of_work,
    is_heated,
)


def test_cupelling_shows_lead_fume_and_nothing_twice() -> None:
    assert cautions_of_work(Process.CUPEL, ["button", "lead"]) == (LEAD_FUME,)


def test_lead_in_any_fire_shows_its_fume() -> None:
    assert LEAD_FUME in cautions_of_work(Process.SMELT, ["sweeps", "litharge"])
    assert LEAD_FUME in cautions_of_work(Process.SMELT, ["spent cupel"])
    assert LEAD_FUME not in cautions_of_work(Process.SMELT, ["sweeps"], "a leading customer")


def test_spent_cupels_on_the_table_show_lead_dust() -> None:
    assert cautions_of_work(Process.CRUSH, ["spent cupel"]) == (SILICA_DUST, LEAD_DUST)


@pytest.mark.parametrize("words", ["brass screws", "old Solder", "cadmium plated"])
def test_zinc_and_cadmium_are_spoken_of_where_they_are_melted(words: str) -> None:
    assert METAL_FUME in cautions_of_work(Process.REMELT, ["scrap"], words)
    assert METAL_FUME not in cautions_of_work(Process.SORT, ["scrap"], words)


@pytest.mark.parametrize("process", list(Process))
def test_mercury_and_acids_are_spoken_of_in_every_work(process: Process) -> None:
    assert MERCURY_VAPOUR in cautions_of_work(process, ["scrap"], "dental")
    assert ACIDS in cautions_of_work(process, ["scrap"], "nitric residue")


def test_molten_metal_shows_steam_and_cold_work_does_not() -> None:
    assert STEAM in cautions_of_work(Process.POUR, ["bead"])
    assert cautions_of_work(Process.SORT, ["filings"]) == ()
    assert is_heated(Process.OTHER)
    assert not is_heated(Process.DIVIDE)
