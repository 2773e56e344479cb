"""One-line values for tests: a line per fact, as on the shop's paper.

A day that is not given is the entry's number counted from the first of January 2031, so that
entries written down in order are dated in order.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace
from datetime import UTC, date, datetime, timedelta

from vault.core.daybook import Act, Entry, Line, Process, Role, Said, When
from vault.core.fineness import Fineness, fineness_from_text
from vault.core.masses import Mass, mass_from_text
from vault.core.money import money_from_text
from vault.core.rules import replay
from vault.core.shop import Shop

FIRST_DAY = date(2031, 1, 1)
HOUSE = "Imke"


def mass(text: str) -> Mass:
    """`mass("12.340 g")`, `mass("10 ozt")`."""
    return mass_from_text(text)


def fineness(text: str) -> Fineness:
    """`fineness("585")` is in ‰; `fineness("18 kt")`."""
    return fineness_from_text(text)


def said(text: str) -> tuple[Said, ...]:
    """`said("Ag 991 ± 0.4, Au 2.1")`, all in ‰."""
    return tuple(_said_of(part.strip()) for part in text.split(",") if part.strip())


def _said_of(text: str) -> Said:
    metal, _, rest = text.partition(" ")
    value, _, u = rest.partition("±")
    return Said(metal, fineness(value), fineness(u) if u else None)


def when(text: str) -> When:
    """`when("2031-03-01")` is a bare day, `when("2031-03-01 09:10")` an instant in UTC."""
    if len(text) <= len("2031-03-01"):
        return When(date.fromisoformat(text))
    at = datetime.fromisoformat(text).replace(tzinfo=UTC)
    return When(at.date(), at)


def day(number: int) -> When:
    """Give the bare day that stands for entry `number`."""
    return When(FIRST_DAY + timedelta(days=number - 1))


def thing(
    tag: str = "",
    form: str = "",
    gross: str = "",
    says: str = "",
    *,
    how: str = "",
    place: str = "",
    party: str = "",
    ref: str = "",
    money: str = "",
    note: str = "",
    tare: str = "",
    scale: str = "",
    witness: str = "",
    furnace: str = "",
    hold_until: str = "",
) -> Line:
    """`thing("B-1", "bar", "452.60 ± 0.02", "Ag 991 ± 0.4", place="safe")`, its role open."""
    value, _, u = gross.partition("±")
    amount, _, currency = money.partition(" ")
    return Line(
        Role.NONE,
        tag=tag,
        form=form,
        place=place,
        party=party,
        gross=mass(value) if value.strip() else None,
        gross_u=mass(u) if u else None,
        contents=said(says),
        how=how or ("declared" if says else ""),
        ref=ref,
        money=money_from_text(amount, currency) if money else None,
        note=note,
        tare=mass(tare) if tare else None,
        scale=scale,
        witness=witness,
        furnace=furnace,
        hold_until=date.fromisoformat(hold_until) if hold_until else None,
    )


def entry(
    number: int,
    act: Act | str,
    *lines: Line,
    on: str = "",
    by: str = HOUSE,
    process: Process | str | None = None,
) -> Entry:
    """Give an entry of any act from ready lines."""
    return Entry(
        number=number,
        when=when(on) if on else day(number),
        by=by,
        act=Act(act),
        lines=lines,
        process=None if process is None else Process(process),
    )


def received(
    number: int,
    *things: Line,
    lot: str = "L-1",
    party: str = "Pennant",
    terms: str = "toll",
    on: str = "",
) -> Entry:
    """`received(1, thing("R-1", "filings", "512.40"), lot="L-1")`."""
    lines = [replace(one, role=Role.IN, lot=lot, party=party, terms=terms) for one in things]
    return entry(number, Act.RECEIVE, *lines, on=on)


def worked(
    number: int,
    process: Process | str,
    *,
    used: str | Iterable[str],
    made: Iterable[Line],
    added: Iterable[Line] = (),
    on: str = "",
) -> Entry:
    """`worked(2, "cupel", used="R-1", added=[thing("", "lead", "350")], made=[thing(…)])`."""
    tags = used.split() if isinstance(used, str) else used
    lines = [Line(Role.USED, tag=tag) for tag in tags]
    lines += [replace(one, role=Role.ADDED) for one in added]
    lines += [replace(one, role=Role.MADE) for one in made]
    return entry(number, Act.WORK, *lines, on=on, process=process)


def assayed(
    number: int, tag: str, says: str, *, how: str = "fire assay", ref: str = "", on: str = ""
) -> Entry:
    """`assayed(3, "A-1", "Ag 991 ± 0.4")`."""
    return entry(
        number, Act.ASSAY, replace(thing(tag, says=says, how=how, ref=ref), role=Role.OF), on=on
    )


def weighed(number: int, tag: str, gross: str, *, on: str = "") -> Entry:
    """`weighed(4, "B-1", "452.58 ± 0.02")`."""
    return entry(number, Act.WEIGH, replace(thing(tag, gross=gross), role=Role.OF), on=on)


def moved(number: int, tag: str, place: str, *, on: str = "") -> Entry:
    """`moved(5, "B-1", "safe")`; the tag may be a container's place name."""
    return entry(number, Act.MOVE, Line(Role.OF, tag=tag, place=place), on=on)


def sent(
    number: int,
    tags: str,
    *,
    ref: str = "V-1",
    party: str = "Lowland",
    terms: str = "by the kilo",
    on: str = "",
) -> Entry:
    """`sent(6, "C-1 C-2", ref="V-1")`."""
    lines = [Line(Role.OUT, tag=tag, party=party, terms=terms, ref=ref) for tag in tags.split()]
    return entry(number, Act.SEND, *lines, on=on)


def settled(number: int, *things: Line, ref: str = "V-1", party: str = "Lowland") -> Entry:
    """`settled(7, thing("C-1", says="Ag 1.85", how="settlement"), thing(money="2.21 EUR"))`."""
    return entry(
        number,
        Act.SETTLE,
        *(replace(one, role=Role.LINE, ref=ref, party=party) for one in things),
    )


def returned(number: int, tags: str, *, party: str = "Pennant") -> Entry:
    """`returned(8, "B-1")`."""
    return entry(
        number, Act.RETURN, *(Line(Role.OUT, tag=tag, party=party) for tag in tags.split())
    )


def sold(number: int, tags: str, *, party: str = "Orrin") -> Entry:
    """`sold(9, "B-1")`."""
    return entry(number, Act.SELL, *(Line(Role.OUT, tag=tag, party=party) for tag in tags.split()))


def counted(
    number: int, *, found: Iterable[Line] = (), missing: str = "", extra: Iterable[Line] = ()
) -> Entry:
    """`counted(10, found=[thing("B-1")], missing="B-2", extra=[thing("X-1", "dust")])`."""
    lines = [replace(one, role=Role.OF) for one in found]
    lines += [Line(Role.MISSING, tag=tag) for tag in missing.split()]
    lines += [replace(one, role=Role.EXTRA) for one in extra]
    return entry(number, Act.COUNT, *lines)


def priced(number: int, metal: str, price: str, *, on: str = "") -> Entry:
    """`priced(11, "Ag", "0.95 EUR")`, for one gram."""
    line = replace(thing(ref=metal, money=price), role=Role.LINE)
    return entry(number, Act.PRICE, line, on=on)


def photographed(number: int, tag: str, sha256: str, caption: str = "") -> Entry:
    """`photographed(12, "B-1", "ab" * 32, "stamp")`."""
    return entry(number, Act.PHOTO, Line(Role.OF, tag=tag, ref=sha256, note=caption))


def sealed(
    number: int, tag: str, seal: str, *, role: Role = Role.APPLIED, witness: str = ""
) -> Entry:
    """`sealed(13, "drum C", "0417")`; the tag may be a container's place name."""
    return entry(number, Act.SEAL, Line(role, tag=tag, ref=seal, witness=witness))


def scale_checked(number: int, scale: str, nominal: str, showed: str, *, on: str = "") -> Entry:
    """`scale_checked(14, "bench scale", "200 g", "200.01 g")`."""
    line = Line(Role.LINE, scale=scale, nominal=mass(nominal), gross=mass(showed))
    return entry(number, Act.SCALE_CHECK, line, on=on)


def struck(number: int, target: int, reason: str = "wrong tag") -> Entry:
    """`struck(12, 11)`."""
    return entry(number, Act.STRIKE, Line(Role.NONE, ref=str(target), note=reason))


def shop_of(*entries: Entry) -> Shop:
    """Give the shop after entries that keep the rules."""
    return replay(entries)
