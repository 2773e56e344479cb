"""The table beside a trace, its sum, and the sentence on how well its steps balance."""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from decimal import Decimal

import numpy as np

from vault.application.queries.answers.trace import TraceRow
from vault.application.queries.trace_boxes import (
    Figures,
    owner_in_words,
    sum_of,
    whereabouts_in_words,
)
from vault.application.queries.trace_reach import Reach, parts_ahead
from vault.reckoning.edges import GROSS, HOUSE, NOBODY, Source, SourceKind
from vault.reckoning.mixing import DrawnParts
from vault.reckoning.origins import Share

MOST_ROWS = 200
# A step is called out only where its gap is beyond doubt and more than usual handling takes.
_DOUBTS = 3.0
_USUAL = 0.01
_UG_PER_G = 1_000_000


def rows_back(figures: Figures, tag: str, drawn: DrawnParts | None) -> tuple[TraceRow, ...]:
    """List what an item's metal came from, largest first; the smallest together at the end."""
    shares = figures.origins.of_item(tag, figures.metal, drawn)
    owners = _owners(figures, shares)
    rows = [_row_back(one, owners.get(one.source.name, "")) for one in shares[:MOST_ROWS]]
    rest = shares[MOST_ROWS:]
    if rest:
        grams = [one.fine_g for one in rest if one.fine_g is not None]
        share = sum(one.share for one in rest if one.share is not None)
        fine_ug = _ug(sum(grams)) if grams else None
        rows.append(TraceRow(f"and {len(rest)} more", "", fine_ug, None, share))
    return tuple(rows)


def _row_back(share: Share, owner: str) -> TraceRow:
    source = share.source
    return TraceRow(
        name=source.name,
        words=owner,
        fine_ug=_ug(share.fine_g),
        u_ug=_ug(share.u_g),
        share=share.share,
        lot=source.name if source.kind is SourceKind.LOT else "",
    )


def _owners(figures: Figures, shares: Iterable[Share]) -> dict[str, str]:
    wanted = {one.source.name for one in shares if one.source.kind is SourceKind.LOT}
    return {
        item.lot: owner_in_words(item) for item in figures.flow.sources() if item.lot in wanted
    } | {
        one.source.name: _owner(one.source)
        for one in shares
        if one.source.kind is not SourceKind.LOT
    }


def _owner(source: Source) -> str:
    if source.owner is None:
        return "nobody knows whose"
    return "ours" if source.owner == HOUSE else source.owner


def rows_ahead(figures: Figures, reach: Reach, drawn: DrawnParts | None) -> tuple[TraceRow, ...]:
    """List where metal is now, largest first, and what is unaccounted for."""
    mixing = figures.mixing
    items = len(mixing.edges.tags)
    reached = set(reach.starts).union(*reach.far.values()) if reach.far else set(reach.starts)
    ends = [node for node in reached if node < items and mixing.edges.user[node] == NOBODY]
    whole = sum(mixing.grams[node] for node in reach.starts)
    scatter = _scatter(figures, reach, drawn)
    ends.sort(key=lambda node: (-reach.grams.get(node, 0.0), node))
    rows = [_row_ahead(figures, reach, node, whole, scatter) for node in ends[:MOST_ROWS]]
    rest = ends[MOST_ROWS:]
    if rest:
        grams = sum(reach.grams.get(node, 0.0) for node in rest)
        rows.append(TraceRow(f"and {len(rest)} more", "", _ug(grams), None, _over(grams, whole)))
    if all(mixing.known[node] for node in (*reach.starts, *ends)):
        lost = whole - sum(reach.grams.get(node, 0.0) for node in ends)
        if abs(_ug(lost) or 0) > 0:
            rows.append(
                TraceRow("unaccounted", "in all its works", _ug(lost), None, _over(lost, whole))
            )
    return tuple(rows)


def _row_ahead(
    figures: Figures, reach: Reach, node: int, whole: float, scatter: dict[int, float]
) -> TraceRow:
    item = figures.flow.items[figures.mixing.edges.tags[node]]
    grams = reach.grams.get(node, 0.0) if figures.mixing.known[node] else None
    return TraceRow(
        name=item.tag,
        words=f"{item.form} · {whereabouts_in_words(item)}",
        fine_ug=_ug(grams),
        u_ug=_ug(scatter.get(node)),
        share=None if grams is None else _over(grams, whole),
        tag=item.tag,
    )


def _scatter(figures: Figures, reach: Reach, drawn: DrawnParts | None) -> dict[int, float]:
    """Give the uncertainty of what came from the start, by node that nothing used."""
    mixing = figures.mixing
    ends = [node for node, user in enumerate(mixing.edges.user) if user == NOBODY]
    if drawn is None:
        # What is wholly of the start is as sure as the item itself.
        return {
            node: u_g
            for node in ends
            if node in reach.grams
            and math.isclose(reach.grams[node], mixing.grams[node])
            and (u_g := figures.of(node)[1]) is not None
        }
    whole = np.ones(drawn.count)
    parts = parts_ahead(mixing, dict.fromkeys(reach.starts, whole), drawn, whole, reach.works)
    return {
        node: float(np.std(parts[node] * drawn.grams(node), ddof=1))
        for node in ends
        if node in parts
    }


def total_of(figures: Figures, tags: Sequence[str]) -> tuple[int | None, int | None]:
    """Give the sum of what was asked for, in micrograms."""
    grams, u_g = sum_of(figures, tags)
    return _ug(grams), _ug(u_g)


def footing_of(figures: Figures, works: Sequence[int]) -> str:
    """Say in one sentence how well the works of a trace balance."""
    if not works:
        return "No work stands in this trace."
    gaps = []
    blind = 0
    for work in works:
        loss, feed = figures.loss(work), figures.feed(work)
        if loss is None:
            blind += 1
        elif feed > 0:
            odd = abs(loss.fine_g) > max(_DOUBTS * loss.u_g, _USUAL * feed)
            gaps.append((odd, abs(loss.fine_g), work, loss.fine_g, feed))
    told = _gap_in_words(figures, gaps)
    if blind:
        many = "One step" if blind == 1 else f"{blind} steps"
        told += f" {many} cannot be balanced, since not all that went in or came out is known."
    return told.strip()


def _gap_in_words(figures: Figures, gaps: list[tuple[bool, float, int, float, float]]) -> str:
    if not gaps:
        return ""
    if figures.metal == GROSS:
        gaps = [(False, *one[1:]) for one in gaps]
    odd, _, work, gap, feed = max(gaps)
    entry = figures.mixing.edges.numbers[work]
    size = f"entry {entry}, {_short(abs(gap))} of {_short(feed, 3)}"
    if figures.metal == GROSS:
        # Oxygen is taken up and fume goes off: weights alone prove nothing.
        return f"Largest gap in weight: {size}; what burns off and what air adds are in it."
    if _ug(gap) == 0:
        return "Every step of this trace balances."
    if not odd:
        return f"Every step of this trace balances; largest gap: {size}."
    many = sum(one[0] for one in gaps)
    lead = "One step does" if many == 1 else f"{many} steps do"
    kind = "missing" if gap > 0 else "too much"
    return f"{lead} not balance; look at {size} {kind}."


def _short(grams: float, digits: int = 2) -> str:
    """Write grams to a few significant digits, never with an exponent: `3.0 g`, `640 g`."""
    value = Decimal(repr(grams))
    decimals = max(0, digits - 1 - value.adjusted()) if value else 0
    return f"{value:.{min(decimals, 6)}f} g"


def _over(part: float, whole: float) -> float | None:
    return part / whole if whole > 0 else None


def _ug(grams: float | None) -> int | None:
    return None if grams is None or math.isnan(grams) else round(grams * _UG_PER_G)
