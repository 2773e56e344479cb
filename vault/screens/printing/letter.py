"""A letter of the shop on paper."""

from __future__ import annotations

from vault.application.reports.letter import Letter
from vault.screens.numbers import Numbers, day
from vault.screens.printing.page import Block, Pairs, Report, Signatures, Words, head_of

_BETWEEN = 36


def letter_paper(letter: Letter, numbers: Numbers, page_size: str = "A4") -> Report:
    """Give a letter as pages; its figures are words of its text already."""
    del numbers
    blocks: list[Block] = [
        *head_of(letter.shop, letter.about),
        Pairs([("Written on", day(letter.day))]),
        *(Words(one, above=_BETWEEN) for one in letter.paragraphs),
        Signatures((f"for {letter.shop}: {letter.by}" if letter.by else f"for {letter.shop}",)),
    ]
    return Report(letter.about, blocks, f"{letter.shop} · {letter.about}", page_size)
