"""Traces with invented figures for the tests of screens and pictures."""

from __future__ import annotations

import random
from dataclasses import replace

from vault.application.queries.answers.trace import (
    NodeKind,
    Ribbon,
    Trace,
    TraceNode,
    TraceQuestion,
    TraceRow,
)

Lots = tuple[tuple[str, float], ...]


def node(
    key: str,
    kind: NodeKind,
    title: str,
    *lines: str,
    grams: float | None = None,
    u: float | None = None,
    **more: object,
) -> TraceNode:
    made = TraceNode(key, kind, title, lines, grams, u)
    return replace(made, **more)  # type: ignore[arg-type]  # one word per fact


def ribbon(
    way: str, grams: float | None, lots: Lots, *, residue: bool = False, loss: bool = False
) -> Ribbon:
    source, target = way.split()
    return Ribbon(source, target, grams, lots, is_residue=residue, is_loss=loss)


def bar_trace(metal: str = "Ag") -> Trace:
    """A bar poured from three beads; residues drop away, a loss fades out."""
    first: Lots = (("L-118", 1.0),)
    second: Lots = (("L-121", 1.0),)
    third: Lots = (("L-101", 0.6), ("L-097", 0.4))
    whole: Lots = (("L-118", 0.62), ("L-121", 0.29), ("L-101", 0.054), ("L-097", 0.036))
    item, work = NodeKind.ITEM, NodeKind.WORK
    return Trace(
        question=TraceQuestion(tag="B-0031", metal=metal),
        title="Trace of bar B-0031",
        nodes=(
            node("a", NodeKind.LOT, "L-118", "filings R-201", grams=636.1, u=2.6, lot="L-118"),
            node("b", NodeKind.LOT, "L-121", "scrap R-207", grams=296.9, u=1.9, lot="L-121"),
            node("c", item, "S-0044", "slag", grams=93.1, u=2.0, tag="S-0044"),
            node("w1", work, "smelt", "3 Mar 2031", "entry 301", entry=301),
            node("w2", work, "cupel", "4 Mar 2031", "entry 303", entry=303),
            node("w3", work, "smelt", "2 Feb 2031", "entry 288", entry=288),
            node("k1", item, "K-0201", "button", grams=621.8, u=2.1, tag="K-0201"),
            node("k2", item, "K-0203", "bead", grams=291.2, u=1.7, tag="K-0203"),
            node("k3", item, "K-0205", "bead", grams=90.4, u=1.9, tag="K-0205"),
            node("s1", item, "S-0049", "slag", grams=13.1, u=4.0, tag="S-0049", is_residue=True),
            node(
                "s2", item, "C-0151", "spent cupel", grams=4.4, u=1.2, tag="C-0151", is_residue=True
            ),
            node("s3", item, "S-0050", "slag", tag="S-0050", is_residue=True),
            node("x1", NodeKind.LOSS, "unaccounted", grams=1.2, u=2.9),
            node("w4", work, "remelt", "5 Mar 2031", "entry 305", entry=305),
            node("end", item, "B-0031", "bar", grams=1002.6, u=0.6, tag="B-0031", is_end=True),
        ),
        ribbons=(
            ribbon("a w1", 636.1, first),
            ribbon("b w2", 296.9, second),
            ribbon("c w3", 93.1, third),
            ribbon("w1 k1", 621.8, first),
            ribbon("w1 s1", 13.1, first, residue=True),
            ribbon("w1 x1", 1.2, first, loss=True),
            ribbon("w2 k2", 291.2, second),
            ribbon("w2 s2", 4.4, second, residue=True),
            ribbon("w3 k3", 90.4, third),
            ribbon("w3 s3", None, third, residue=True),
            ribbon("k1 w4", 621.8, first),
            ribbon("k2 w4", 291.2, second),
            ribbon("k3 w4", 90.4, third),
            ribbon("w4 end", 1002.6, whole),
        ),
        lots=("L-118", "L-121", "L-101", "L-097"),
        rows=(
            TraceRow("L-118", "Pennant Bench School", 621_800_000, 2_100_000, 0.62, lot="L-118"),
            TraceRow("L-121", "ours", 290_400_000, 1_700_000, 0.29, lot="L-121"),
            TraceRow("L-101", "ours", 54_200_000, 1_400_000, 0.054, lot="L-101"),
            TraceRow("L-097", "Fernhill Dental Lab", 36_200_000, 1_200_000, 0.036, lot="L-097"),
        ),
        total_ug=1_002_600_000,
        total_u_ug=600_000,
        metals=("Ag", "Au"),
        footing="Every step of this trace balances; largest gap: entry 301, 1.2 g of 640 g.",
    )


def lone_trace() -> Trace:
    """An item that was received and has no story yet; nothing says what it holds."""
    return Trace(
        question=TraceQuestion(tag="R-1"),
        title="Trace of sweeps R-1",
        nodes=(node("end", NodeKind.ITEM, "R-1", "sweeps", tag="R-1", is_end=True),),
        ribbons=(),
        lots=(),
        rows=(),
        total_ug=None,
        total_u_ug=None,
        metals=("Ag",),
        footing="No work stands in this trace.",
    )


def folded_trace() -> Trace:
    """A bar of which most feeds are folded."""
    trace = bar_trace()
    fold = node("fold", NodeKind.FOLD, "and 312 more", grams=4.1, u=None)
    return replace(
        trace,
        nodes=(*trace.nodes, fold),
        ribbons=(*trace.ribbons, ribbon("fold w4", 4.1, ())),
    )


def big_trace(boxes: int, seed: int = 1) -> Trace:
    """A random shop: works join a few things and make a few; many lots."""
    chance = random.Random(seed)
    nodes: list[TraceNode] = []
    ribbons: list[Ribbon] = []
    free: list[tuple[str, float, Lots]] = []
    lots = [f"L-{number:03}" for number in range(1, 10)]
    while len(nodes) < boxes:
        while len(free) < 5:
            lot = chance.choice(lots)
            key = f"n{len(nodes)}"
            grams = chance.uniform(20, 400)
            nodes.append(
                node(key, NodeKind.LOT, lot, f"filings R-{len(nodes)}", grams=grams, u=1, lot=lot)
            )
            free.append((key, grams, ((lot, 1.0),)))
        work = f"n{len(nodes)}"
        nodes.append(node(work, NodeKind.WORK, "smelt", f"entry {len(nodes)}", entry=len(nodes)))
        feed, mixed = 0.0, dict.fromkeys(lots, 0.0)
        for _ in range(chance.randint(1, 3)):
            key, grams, shares = free.pop(chance.randrange(len(free)))
            ribbons.append(Ribbon(key, work, grams, shares))
            feed += grams
            for lot, share in shares:
                mixed[lot] += grams * share
        shares = tuple((lot, grams / feed) for lot, grams in mixed.items() if grams)
        for part, residue in ((0.6, False), (0.36, False), (0.03, True)):
            key = f"n{len(nodes)}"
            nodes.append(
                node(
                    key,
                    NodeKind.ITEM,
                    f"K-{len(nodes)}",
                    "slag" if residue else "button",
                    grams=feed * part,
                    u=1,
                    tag=f"K-{len(nodes)}",
                    is_residue=residue,
                )
            )
            ribbons.append(Ribbon(work, key, feed * part, shares, is_residue=residue))
            if not residue and chance.random() < 0.75:
                free.append((key, feed * part, shares))
    nodes[-2] = replace(nodes[-2], is_end=True)
    return replace(
        bar_trace(),
        title="Trace of bar B-0900",
        nodes=tuple(nodes),
        ribbons=tuple(ribbons),
        lots=tuple(lots),
    )
