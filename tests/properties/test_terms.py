"""Laws of terms sheets, on random ones: more metal never pays less, splitting never pays."""

from __future__ import annotations

import numpy as np
from hypothesis import given
from hypothesis import strategies as st

from terms import charged, fees, pays, sheet
from vault.core.terms_sheets import MetalTerms, TermsSheet
from vault.reckoning.net_return import Parcel, charges_of, net_of

shares = st.floats(0.0, 0.02)
parts = st.floats(0.5, 1.0)
amounts = st.floats(0.0, 300.0)


@st.composite
def metal_terms(draw: st.DrawFn, metal: str) -> MetalTerms:
    """Terms whose payable part never falls as the parcel gets richer."""
    rising = sorted(draw(st.lists(parts, min_size=1, max_size=3)))
    grades = sorted(draw(st.lists(shares, min_size=len(rising) - 1, max_size=len(rising) - 1)))
    return pays(
        metal,
        rising[0],
        refining=draw(st.floats(0.0, 0.5)),
        deduction=draw(shares),
        lesser=draw(st.booleans()),
        least_grade=draw(shares),
        least_fine_g=draw(st.floats(0.0, 100.0)),
        bands=list(zip(grades, rising[1:], strict=True)),
    )


@st.composite
def sheets(draw: st.DrawFn, *, penalties: bool = False) -> TermsSheet:
    return sheet(
        draw(metal_terms("Ag")),
        draw(metal_terms("Au")),
        per_kg=draw(st.floats(0.0, 20.0)),
        least=draw(amounts),
        dry=draw(st.booleans()),
        charges=fees(
            assay=draw(amounts),
            sampling=draw(amounts),
            freight=draw(amounts),
            freight_per_kg=draw(st.floats(0.0, 2.0)),
            drum=draw(amounts),
            manifest=draw(amounts),
        ),
        penalties=[
            charged(
                "Pb", draw(st.floats(0.0, 2.0)), free=draw(shares), step=0.01, whole_steps=whole
            )
            for whole in ((True, False) if penalties else ())
        ],
        days=draw(st.integers(0, 120)),
    )


PRICES = {"Ag": 0.9, "Au": 75.0}
grams = st.floats(1.0, 500_000.0)


@given(sheets(), grams, st.floats(0.0, 0.2), st.data())
def test_more_metal_never_pays_less_where_nothing_is_penalised(
    terms: TermsSheet, weight: float, interest: float, data: st.DataObject
) -> None:
    contents = np.sort(data.draw(st.lists(st.floats(-10.0, 0.1 * weight), min_size=2, max_size=9)))
    for metal, other in (("Ag", "Au"), ("Au", "Ag")):
        parcel = Parcel(weight, {metal: contents, other: 1.0}, dry_g=0.9 * weight)
        net = net_of(parcel, terms, PRICES, interest).net
        assert np.all(np.diff(net) >= -1e-9 * (1.0 + np.abs(net).max()))


@given(sheets(penalties=True), grams, st.floats(0.01, 0.99), st.floats(0.0, 0.2))
def test_splitting_a_lot_never_beats_sending_it_whole(
    terms: TermsSheet, weight: float, part: float, interest: float
) -> None:
    """Parts alike, as of a mixed drum; a part richer than the rest may well pay by itself."""

    def of(share: float) -> Parcel:
        contents = {"Ag": 0.006 * weight * share, "Au": 0.0004 * weight * share}
        return Parcel(weight * share, contents, dry_g=0.9 * weight * share, shares={"Pb": 0.034})

    whole = float(net_of(of(1.0), terms, PRICES, interest).net)
    split = sum(float(net_of(of(one), terms, PRICES, interest).net) for one in (part, 1.0 - part))
    assert split <= whole + 1e-6 * (1.0 + abs(whole))


@given(sheets(penalties=True), grams, st.floats(0.01, 0.99))
def test_the_charges_of_two_parts_are_never_below_those_of_the_whole(
    terms: TermsSheet, weight: float, part: float
) -> None:
    whole, one, other = (
        charges_of(Parcel(weight * share, {"Ag": 1.0}, shares={"Pb": 0.1}), terms)
        for share in (1.0, part, 1.0 - part)
    )
    for kind in ("at_settlement", "on_the_way", "treatment", "drums", "freight"):
        apart = float(getattr(one, kind)) + float(getattr(other, kind))
        assert apart >= float(getattr(whole, kind)) * (1.0 - 1e-9) - 1e-9


@given(sheets(penalties=True), grams, st.floats(0.0, 0.2))
def test_the_lines_add_up_to_the_net(terms: TermsSheet, weight: float, interest: float) -> None:
    parcel = Parcel(weight, {"Ag": 0.01 * weight, "Au": 0.001 * weight}, shares={"Pb": 0.08})
    found = net_of(parcel, terms, PRICES, interest)
    paid = sum(float(one.paid) for one in found.metals)
    penalties = sum(float(amount) for _, amount in found.penalties)
    settled = found.treatment + found.assays + found.sampling + penalties + found.waiting
    taken = float(settled + found.freight + found.drums + found.manifest)
    assert abs(paid - taken - float(found.net)) <= 1e-6 * (1.0 + paid + taken)
