"""The diagnosis of a book: every contradiction as a finding that a person can act on."""

from __future__ import annotations

from collections.abc import Iterable
from math import log10

import numpy as np

from vault.core.findings import Finding, FindingKind, Severity, Suspect
from vault.core.uncertainty import rounded
from vault.reckoning.closure import LIMIT
from vault.reckoning.contents import ABSENT, NOT_KNOWN_CODE, Contents
from vault.reckoning.contradictions import Trouble, troubles_of
from vault.reckoning.drift import Drift, drifts_of
from vault.reckoning.row_pile import RowKind
from vault.reckoning.shortfalls import Shortfall
from vault.reckoning.solved_metal import SolvedMetal
from vault.reckoning.swaps import Swap, swaps_of
from vault.reckoning.wholes import Weightless
from vault.reckoning.wording import record_words

_MOST_SUSPECTS = 12
_MOST_OF_A_KIND = 50


def diagnose(
    contents: Contents, shortfalls: Iterable[Shortfall | Weightless]
) -> tuple[Finding, ...]:
    """Give everything that does not add up, alarms first."""
    found: list[Finding] = []
    for balance in contents.balances.values():
        if not isinstance(balance, SolvedMetal):
            continue
        troubles = list(troubles_of(balance))
        found += [_swapped(balance.metal, one) for one in swaps_of(balance, troubles)[:3]]
        found += [_contradiction(one) for one in troubles]
        found += _below_nothing(contents, balance)
        found += [_drifted(one) for one in drifts_of(balance)]
    found += _too_much_metal(contents)
    found += [
        _lighter(one) if isinstance(one, Shortfall) else _weightless(one) for one in shortfalls
    ]
    order = list(Severity)
    return tuple(sorted(found, key=lambda one: order.index(one.severity)))


def _contradiction(trouble: Trouble) -> Finding:
    suspects = tuple(_suspect(trouble, at) for at in range(min(len(trouble.rows), _MOST_SUSPECTS)))
    # What somebody said can be looked up; guesses come after it among equals.
    suspects = tuple(sorted(suspects, key=lambda one: not one.proposed))
    chief = suspects[0]
    others = len(trouble.rows) - 1
    tests, system = trouble.metal.tests, trouble.doubts.family.system
    if chief.proposed:
        told = (
            f"{_capital(chief.words)} says {chief.reads} {trouble.metal.metal}; "
            f"all other records together say {chief.proposed}."
        )
    else:
        told = (
            f"The {trouble.metal.metal} does not add up: {chief.words} would have to be off by "
            f"{abs(chief.change_g):.3g} g."
        )
    told += _and_others(others)
    row = next(at for at in trouble.rows.tolist() if _words(trouble, at) == chief.words)
    says = float(system.y[row])
    is_said = bool(chief.proposed)
    return Finding(
        kind=FindingKind.CONTRADICTION,
        severity=Severity.ALARM,
        sentence=told,
        entries=tuple(sorted({one.entry for one in suspects if one.entry is not None})),
        tags=tuple(dict.fromkeys(one.tag for one in suspects if one.tag)),
        metal=trouble.metal.metal,
        expected_g=says + chief.change_g if is_said else None,
        found_g=says if is_said else None,
        proposed=tuple(
            f"{_capital(one.words)}: {one.proposed} instead of {one.reads}."
            for one in suspects
            if one.proposed
        ),
        noticeable_g=trouble.doubts.least_noticed(row, tests),
        suspects=suspects,
    )


def _and_others(others: int) -> str:
    if not others:
        return " No other single record explains it as well."
    records = "one other record" if others == 1 else f"{others} other records"
    return f" {_capital(records)} would explain it as well; compare them before you strike one."


def _words(trouble: Trouble, row: int) -> str:
    system = trouble.doubts.family.system
    return record_words(system.ground, system.rows, int(system.row_ids[row]))[0]


def _suspect(trouble: Trouble, at: int) -> Suspect:
    system = trouble.doubts.family.system
    row = int(trouble.rows[at])
    words, entry, tag = record_words(system.ground, system.rows, int(system.row_ids[row]))
    change, spread = float(trouble.change_g[at]), float(trouble.spread_g[at])
    reads = proposed = ""
    if system.rows.kind[system.row_ids[row]] == RowKind.SAID:
        saying = int(system.rows.subject[system.row_ids[row]])
        share = float(system.ground.facts.sayings.share[saying])
        grams = float(system.y[row])
        whole = grams / share if share > 0.0 else float(system.size[0])
        reads = f"{1000.0 * share:.1f} ‰"
        proposed = f"{_stated(1000.0 * (grams + change) / whole, 1000.0 * spread / whole)} ‰"
    elif system.rows.kind[system.row_ids[row]] == RowKind.WHOLE:
        reads = f"{_stated(float(system.y[row]), float(system.u[row]))} g"
        proposed = f"{_stated(float(system.y[row]) + change, spread)} g"
    return Suspect(
        words=words,
        entry=entry,
        tag=tag,
        reads=reads,
        proposed=proposed,
        change_g=change,
        z=float(trouble.z[at]),
    )


def _swapped(metal: str, swap: Swap) -> Finding:
    one, other = swap.tags
    first, second = swap.entries
    return Finding(
        kind=FindingKind.SWAPPED,
        severity=Severity.ALARM,
        sentence=(
            f"{one} and {other} may have been swapped: with {other} in entry {first} and {one} in "
            f"entry {second} the {metal} adds up far better. Look at the two labels."
        ),
        entries=tuple(sorted(swap.entries)),
        tags=swap.tags,
        metal=metal,
        proposed=(f"{other} in entry {first}, {one} in entry {second}.",),
    )


def _below_nothing(contents: Contents, balance: SolvedMetal) -> list[Finding]:
    known = (balance.how != ABSENT) & (balance.how != NOT_KNOWN_CODE)
    x, u = balance.estimates, balance.uncertainties
    below = np.flatnonzero(known & (np.nan_to_num(x) < -LIMIT * np.nan_to_num(u)))
    return [
        Finding(
            kind=FindingKind.BELOW_NOTHING,
            severity=Severity.ALARM,
            sentence=(
                f"{contents.tags[at]} would hold less than nothing: "
                f"{_stated(float(x[at]), float(u[at]))} g {balance.metal}. "
                "Something recorded of it or of its neighbours is wrong."
            ),
            tags=(contents.tags[at],),
            metal=balance.metal,
            expected_g=0.0,
            found_g=float(x[at]),
        )
        for at in below[:_MOST_OF_A_KIND].tolist()
    ]


def _too_much_metal(contents: Contents) -> list[Finding]:
    if not contents.balances:
        return []
    fine, variance = np.zeros(len(contents.tags)), contents.gross_u_g**2
    for balance in contents.balances.values():
        known = (balance.how != ABSENT) & (balance.how != NOT_KNOWN_CODE)
        fine += np.where(known, np.nan_to_num(balance.estimates), 0.0)
        variance = variance + np.where(known, np.nan_to_num(balance.uncertainties) ** 2, 0.0)
    over = np.flatnonzero(fine - contents.gross_g > LIMIT * np.sqrt(variance))
    return [
        Finding(
            kind=FindingKind.MORE_THAN_ITS_WEIGHT,
            severity=Severity.ALARM,
            sentence=(
                f"{contents.tags[at]} would hold {fine[at]:.2f} g of precious metal and weighs "
                f"{contents.gross_g[at]:.2f} g; a weight or an assay around it is wrong."
            ),
            tags=(contents.tags[at],),
            expected_g=float(contents.gross_g[at]),
            found_g=float(fine[at]),
        )
        for at in over[:_MOST_OF_A_KIND].tolist()
    ]


def _lighter(short: Shortfall) -> Finding:
    gap = short.expected_g - short.found_g
    less = "less" if gap > 0.0 else "more"
    names = ", ".join(short.tags[:6])
    if short.reweighed:
        told = (
            f"{names} weighed {short.expected_g:.2f} g in entry {short.entries[0]} and "
            f"{short.found_g:.2f} g in entry {short.entries[1]}: {gap:.2f} g are missing."
        )
    else:
        told = (
            f"In entry {short.entries[0]} {short.expected_g:.2f} g went in and "
            f"{short.found_g:.2f} g came out ({names}): {abs(gap):.2f} g {less} than went in."
        )
    return Finding(
        kind=FindingKind.LIGHTER,
        severity=Severity.LOOK,
        sentence=told,
        entries=short.entries,
        tags=short.tags,
        expected_g=short.expected_g,
        found_g=short.found_g,
        noticeable_g=LIMIT * short.u_g,
    )


def _weightless(whole: Weightless) -> Finding:
    (entry,) = whole.entries
    return Finding(
        kind=FindingKind.WITHOUT_WEIGHT,
        severity=Severity.LOOK,
        sentence=(
            f"Entry {entry} settles the {whole.metal} of shipment {whole.ref} as a whole without "
            f"a weight, and nothing says what {whole.tags[0]} weighs; so nothing follows from it. "
            "Strike the entry and record it again with the weight that the refinery agreed."
        ),
        entries=whole.entries,
        tags=whole.tags[:_MOST_SUSPECTS],
        metal=whole.metal,
    )


def _drifted(one: Drift) -> Finding:
    way = "more" if one.after > one.before else "less"
    after, before = (
        f"{_stated(100.0 * value, 100.0 * u)} %"
        for value, u in ((one.after, one.after_u), (one.before, one.before_u))
    )
    return Finding(
        kind=FindingKind.DRIFT,
        severity=Severity.LOOK,
        sentence=(
            f"From entry {one.since} on {way} of the {one.metal} fed stays in the {one.kind}: "
            f"{after}, and {before} before ({one.measured} measured). Chance alone would show as "
            f"much in fewer than 1 of {10 ** int(-log10(one.chance))} shops; look at what changed: "
            "the heat, the lead or flux, what the lots are, the scale, the assayer."
        ),
        entries=(one.since,),
        metal=one.metal,
    )


def _stated(value: float, u: float) -> str:
    # A minus sign is no hyphen in a sentence that people read.
    return " ± ".join(rounded(value, u)).replace("-", "−")


def _capital(words: str) -> str:
    return words[:1].upper() + words[1:]
