"""Seals in words: what is on a thing, who saw it last, and what that keeps shut."""

from __future__ import annotations

from vault.application.queries.answers.seals import SealFacts
from vault.screens.numbers import day


def seal_words(seal: SealFacts, *, of: str = "") -> str:
    """Say which seal is on a thing; `of` is the thing itself, so that it need not be named.

    `seal S-114, applied 3 Mar 2031 by Imke, seen by Per`; of a container around it, with its name.
    """
    where = "" if seal.name == of else f"{seal.name}: "
    seen = f", seen by {seal.witness}" if seal.witness else ""
    return f"{where}seal {seal.number}, {seal.last} {day(seal.day)} by {seal.by}{seen}"
