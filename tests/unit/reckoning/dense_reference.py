"""The balance of one metal once more, by other means: item by item, one dense least squares.

Written from the description of the rows and not from the program: it knows no feeds, no sum trees
and no families, only items, what was said of them, and one equation for each work. Weights that
no scale read are given to it.
"""

from __future__ import annotations

from collections import defaultdict
from dataclasses import dataclass, field
from math import sqrt

import numpy as np
from numpy.typing import NDArray

from vault.core.daybook import Process, Said
from vault.core.flow import Flow, Work
from vault.core.items import Item
from vault.reckoning.guesses import DEFAULT, fineness_u, loss_of, sampling_constant, weight_u

Array = NDArray[np.float64]
RESIDUES = {"slag", "spent cupel", "dust", "crucible"}
COLD = {Process.SORT, Process.DIVIDE, Process.CRUSH, Process.BLEND, Process.SAMPLE}


@dataclass
class Dense:
    """Estimates and covariance of every item and house factor."""

    names: list[str]
    x: Array
    cov: Array
    chi2: float
    z: dict[tuple[str, int], float] = field(default_factory=dict)

    def of(self, tag: str) -> tuple[float, float]:
        at = self.names.index(tag)
        return float(self.x[at]), float(sqrt(self.cov[at, at]))

    def total(self, tags: list[str]) -> tuple[float, float]:
        c = np.array([name in tags for name in self.names], dtype=float)
        return float(c @ self.x), float(sqrt(c @ self.cov @ c))


def kind_of(item: Item, work: Work, flow: Flow) -> str:
    if item.form not in RESIDUES or work.process in COLD:
        return ""
    if item.form != "slag":
        return item.form
    if all(flow.items[tag].form in RESIDUES for tag in work.used):
        return "slag of poor feed"
    if work.process in {Process.REMELT, Process.POUR}:
        return "slag of remelting"
    return "slag of smelting"


def dense(
    flow: Flow,
    metal: str,
    feeds: dict[int, float],
    kept: dict[str, float],
    unread: dict[str, tuple[float, float]],
    scales: dict[str, float],
) -> Dense:
    """Solve with given feeds by work, shares that cupels keep, unread weights.

    `scales` are the grams in every item of which a doubt in proportion is a part.
    """
    names = list(flow.items)
    column = {tag: at for at, tag in enumerate(names)}
    rows: list[tuple[dict[str, float], float, float]] = []
    for item in flow.items.values():
        for saying in item.sayings:
            for said in saying.contents:
                if said.metal == metal:
                    weight = unread.get(item.tag) or _weight(item)
                    rows.append(_said(item, saying.how, said, weight, scales[item.tag]))
    rows += _wholes(flow, metal, unread)
    for work in flow.works.values():
        rows += _work(flow, work, metal, feeds[work.number], kept)
    deltas = sorted({name for row, _, _ in rows for name in row if name.startswith("δ ")})
    for name in deltas:
        column[name] = len(names)
        names.append(name)
        rows.append(({name: 1.0}, 0.0, DEFAULT.keep(name[2:], metal).house))
    matrix = np.zeros((len(rows) + len(flow.items), len(names)))
    right = np.zeros(len(matrix))
    for at, (terms, y, u) in enumerate(rows):
        for name, coefficient in terms.items():
            matrix[at, column[name]] += coefficient / u
        right[at] = y / u
    for at in range(len(flow.items)):
        matrix[len(rows) + at, at] = 1e-8
    q, r = np.linalg.qr(matrix)
    x = np.linalg.solve(r, q.T @ right)
    inverse = np.linalg.inv(r)
    chi2 = float(np.sum((matrix[: len(rows)] @ x - right[: len(rows)]) ** 2))
    return Dense(names, x, inverse @ inverse.T, chi2)


def _wholes(
    flow: Flow, metal: str, unread: dict[str, tuple[float, float]]
) -> list[tuple[dict[str, float], float, float]]:
    """Everything that one settlement agreed of several items: their sum is Σ weight · share."""
    rows = []
    for one in {
        (x.entry, x.metal): x for item in flow.items.values() for x in item.agreed
    }.values():
        if one.metal != metal:
            continue
        weights = [unread.get(tag) or _weight(flow.items[tag]) for tag in one.tags]
        y = variance = 0.0
        for saying in one.sayings:
            (said,) = (said for said in saying.contents if said.metal == metal)
            share = said.fineness.share
            spread = fineness_u(saying.how, "", share) if said.u is None else said.u.share
            if saying.gross is None:
                grams, doubt = sum(x for x, _ in weights), sqrt(sum(u**2 for _, u in weights))
            else:
                grams, doubt = saying.gross.grams, 1e-4 * saying.gross.grams + 0.003
            y += grams * share
            variance += (grams * max(spread, 1e-6)) ** 2 + (share * doubt) ** 2
        rows.append((dict.fromkeys(one.tags, 1.0), y, sqrt(variance)))
    return rows


def _weight(item: Item) -> tuple[float, float]:
    assert item.gross is not None
    grams = item.gross.grams
    return grams, weight_u(grams) if item.gross_u is None else item.gross_u.grams


def _said(
    item: Item, how: str, said: Said, weight: tuple[float, float], scale: float
) -> tuple[dict[str, float], float, float]:
    (grams, doubt), share = weight, said.fineness.share
    spread = fineness_u(how, item.form, scale / grams) if said.u is None else said.u.share
    u = sqrt((grams * max(spread, 1e-6)) ** 2 + (share * doubt) ** 2)
    return {item.tag: 1.0}, grams * share, u


def _work(
    flow: Flow, work: Work, metal: str, feed: float, kept: dict[str, float]
) -> list[tuple[dict[str, float], float, float]]:
    items = [flow.items[tag] for tag in work.made]
    kinds: dict[str, list[Item]] = defaultdict(list)
    for item in items:
        kinds[kind_of(item, work, flow)].append(item)
    lost, doubt = loss_of(work.process, metal)
    for process, form, kind in (
        (Process.SMELT, "slag", "slag of smelting"),
        (Process.CUPEL, "spent cupel", "spent cupel"),
    ):
        if work.process is process and not any(item.form == form for item in items):
            keep = DEFAULT.keep(kind, metal)
            lost += keep.share
            doubt = sqrt(doubt**2 + keep.share**2 * (keep.house**2 + keep.batch**2))
    balance = dict.fromkeys(work.used, 1.0 - lost) | {item.tag: -1.0 for item in items}
    rows = [(balance, 0.0, doubt * feed)]
    for kind, group in kinds.items():
        if kind:
            keep = DEFAULT.keep(kind, metal)
            share = kept.get(group[0].tag, keep.share)
            terms = {item.tag: 1.0 for item in group} | dict.fromkeys(work.used, -share)
            terms[f"δ {kind}"] = -share * feed
            rows.append((terms, 0.0, keep.batch * share * feed))
    if work.process in {Process.DIVIDE, Process.SAMPLE, Process.REMELT, Process.POUR}:
        rows += _split(flow, work, kinds[""], feed)
    return rows


def _split(
    flow: Flow, work: Work, parts: list[Item], feed: float
) -> list[tuple[dict[str, float], float, float]]:
    grams = [_weight(item)[0] for item in parts]
    form = "molten"
    if work.process in {Process.DIVIDE, Process.SAMPLE}:
        form = flow.items[work.used[0]].form
    h2 = sampling_constant(form) / sum(grams)
    doubts = [_weight(item)[1] ** 2 for item in parts]
    rows = []
    for at, item in enumerate(parts[:-1]):
        left = sum(grams[at:])
        ratio, f = grams[at] / left, grams[at] / sum(grams)
        after = sum(grams[at + 1 :]) / sum(grams)
        terms = {other.tag: -ratio for other in parts[at:]}
        terms[item.tag] += 1.0
        own, others = doubts[at], sum(doubts[:at] + doubts[at + 1 :])
        rest = sum(grams[at + 1 :])
        of_ratio = (own * rest**2 + grams[at] ** 2 * others) / left**4
        variance = h2 * f * after * sum(grams) / left + of_ratio * (left / sum(grams)) ** 2
        rows.append((terms, 0.0, feed * sqrt(variance)))
    return rows
