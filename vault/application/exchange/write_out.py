"""Writing figures and the daybook out: the shapes that other programs may rely on.

Masses are grams with all digits (decimal numbers of whole micrograms), `None` where not known. In
`fate` the parts `on_hand_g`, `residues_g`, `out_g` and `unaccounted_g` add up to `received_g`.

An estimate that lies below zero is written as it is, never cut at zero as screens and paper show
it, so that whoever adds the items up gets the totals; read its `u_g` beside it.
"""

from __future__ import annotations

import io
import sys
from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from decimal import Decimal
from pathlib import Path

from vault.application.book import Book
from vault.application.exchange.daybook_csv import daybook_table
from vault.application.exchange.tables_out import write_csv, write_json, write_xlsx
from vault.application.figures import reckon_all
from vault.application.operations.recording import ActionStopped
from vault.application.reckoned import Reckoned
from vault.core.daybook import Entry
from vault.core.errors import VaultError
from vault.core.items import Item
from vault.core.knowledge import Figure, How
from vault.core.masses import Mass
from vault.core.turnover import Amount, ClassYear
from vault.reckoning.accounts import LotAccount, book_balance, lot_account
from vault.reckoning.micrograms import PER_GRAM, figures_of_item, micrograms, shared_out
from vault.reckoning.origins import Share
from vault.reckoning.stock import Stock, stock_of
from vault.reckoning.turnover import first_dates, told_until, turnover
from vault.store.entries import last_number, load_entries

Row = Mapping[str, object]
Progress = Callable[[int, int], None]
Stopped = Callable[[], bool]

_STEPS = 2


class NotWritten(VaultError):
    """Something that cannot be written in the way that was asked for."""


@dataclass(frozen=True, slots=True)
class _Export:
    """One export in both its shapes: a document, and a table with its columns."""

    document: object
    columns: list[str]
    rows: Iterable[Row]


def write_out(
    file: Path, *, what: str, kind: str | None = None, at: date | None = None, out: Path | None
) -> None:
    """Write figures or the daybook of a book to a file or to standard output.

    Args:
        file: the book.
        what: daybook, stock, origins, fate, residues or turnover.
        kind: csv, json or xlsx; by the ending of `out` where None, else csv.
        at: as the facts up to this day tell it; all facts where None.
        out: where to; standard output where None.

    Raises:
        NotWritten: when a workbook is to go to standard output.
    """
    chosen = kind or _kind_by_ending(out)
    if chosen == "xlsx" and out is None:
        raise NotWritten("A workbook cannot go to standard output; say where to with -o FILE.xlsx.")
    with Book.open(file, writing=False) as book:
        export = _daybook(book, at) if what == "daybook" else _figures(book, what, at)
    _write(export, chosen, out, what)


def write_out_open(book: Book, what: str, out: Path, progress: Progress, stopped: Stopped) -> None:
    """Write figures or the daybook of an open book to a file, of the kind that its ending says.

    Raises:
        ActionStopped: when asked to stop; nothing was written.
    """

    def done(steps: int) -> None:
        if stopped():
            raise ActionStopped("Stopped; nothing was written.")
        progress(steps, _STEPS)

    done(0)
    export = _daybook(book, None) if what == "daybook" else _figures(book, what, None)
    done(1)
    _write(export, _kind_by_ending(out), out, what)
    progress(_STEPS, _STEPS)


def _kind_by_ending(out: Path | None) -> str:
    ending = out.suffix.lower().lstrip(".") if out is not None else ""
    return ending if ending in {"json", "xlsx"} else "csv"


def _write(export: _Export, kind: str, out: Path | None, what: str) -> None:
    if kind == "xlsx":
        inside = io.BytesIO()
        write_xlsx(export.columns, export.rows, inside, title=what)
        data = inside.getvalue()
    else:
        text = io.StringIO(newline="")
        if kind == "json":
            write_json(export.document, text)
        else:
            write_csv(export.columns, export.rows, text)
        data = text.getvalue().encode()
    if out is None:
        sys.stdout.buffer.write(data)
        return
    # Beside and then in its place, so that a full disk leaves no half file under the name.
    half_done = out.with_name(out.name + ".part")
    try:
        half_done.write_bytes(data)
        half_done.replace(out)
    finally:
        half_done.unlink(missing_ok=True)


def _daybook(book: Book, at: date | None) -> _Export:
    entries: list[Entry] = []
    with book.file.reading() as connection:
        for recorded in load_entries(connection):
            if at is not None and recorded.entry.when.day > at:
                break
            entries.append(recorded.entry)
    columns, rows = daybook_table(entries, zone=book.zone)
    listed = list(rows)
    return _Export({"entries": listed}, columns, listed)


def _figures(book: Book, what: str, at: date | None) -> _Export:
    makers: dict[str, Callable[[Reckoned, str], _Export]] = {
        "stock": _stock,
        "origins": _origins,
        "fate": _fate,
        "residues": _residues,
        "turnover": _turnover,
    }
    as_of = at if at is not None else book.today()
    reckoned = _in_mind(book) if at is None else None
    return makers[what](reckoned or reckon_all(book, at=at), as_of.isoformat())


def _in_mind(book: Book) -> Reckoned | None:
    """Give the figures that an open book holds already, where they rest on all its entries."""
    with book.file.reading() as connection:
        last = last_number(connection)
    return book.reckoned if book.reckoned is not None and book.reckoned.entry == last else None


def _stock(reckoned: Reckoned, as_of: str) -> _Export:
    stock = stock_of(reckoned.shop.items.values(), reckoned.contents)
    items = [_item(reckoned, item) for item in reckoned.shop.items.values()]
    document = {
        "as_of": as_of,
        "items": items,
        "totals": _totals(stock),
        "balance": {metal: _balance(reckoned, metal) for metal in reckoned.contents.metals},
    }
    columns = ["tag", "form", "place", "lot", "party", "state", "gross_g"]
    for metal in reckoned.contents.metals:
        columns += [f"{metal}_fine_g", f"{metal}_u_g", f"{metal}_how"]
    return _Export(document, columns, (_flat(item) for item in items))


def _item(reckoned: Reckoned, item: Item) -> dict[str, object]:
    return {
        "tag": item.tag,
        "form": item.form,
        "place": item.place or None,
        "lot": item.lot or None,
        "party": item.party or None,
        "state": item.state.value,
        "gross_g": None if item.gross is None else grams(item.gross.micrograms),
        "content": {
            metal: _figure(figure) | {"how": figure.how.value}
            for metal, figure in figures_of_item(reckoned.contents, item.tag).items()
        },
    }


def _totals(stock: Stock) -> dict[str, object]:
    return {
        metal: _figure(whole.figure)
        | {
            "by_form": {
                form: _figure(one.figure) for (of, form), one in stock.forms.items() if of == metal
            }
        }
        for metal, whole in stock.metals.items()
    }


def _balance(reckoned: Reckoned, metal: str) -> dict[str, object]:
    drawn = reckoned.drawn(metal)
    told = book_balance(reckoned.origins, reckoned.contents, metal, drawn)
    return {
        "received_g": grams(told.received + told.added + told.found),
        "on_hand_g": grams(told.on_hand),
        "out_g": grams(told.out),
        "unaccounted_g": grams(told.unaccounted),
        "unaccounted_u_g": None if told.unaccounted_u is None else grams(told.unaccounted_u),
        "of_it_added_g": grams(told.added),
        "of_it_found_g": grams(told.found),
        "of_it_missing_g": grams(told.missing),
        "not_known": list(told.not_known),
    }


def _origins(reckoned: Reckoned, as_of: str) -> _Export:
    del as_of
    items: dict[str, dict[str, list[dict[str, object]]]] = {}
    for tag in reckoned.shop.items:
        for metal, figure in figures_of_item(reckoned.contents, tag).items():
            shares = reckoned.origins.of_item(tag, metal)
            fine = _fine_of_shares(shares, figure.fine_ug)
            items.setdefault(tag, {})[metal] = [
                {
                    "lot": one.source.name,
                    "fine_g": grams(fine[at]) if at in fine else None,
                    "share": one.share,
                }
                for at, one in enumerate(shares)
            ]
    rows = (
        {"tag": tag, "metal": metal} | share
        for tag, metals in items.items()
        for metal, shares in metals.items()
        for share in shares
    )
    return _Export({"items": items}, ["tag", "metal", "lot", "fine_g", "share"], rows)


def _fine_of_shares(shares: Sequence[Share], whole_ug: int | None) -> dict[int, int]:
    """Give the micrograms of each share that is known; with none unknown they add up exactly."""
    if whole_ug is None:
        return {}
    parts = {
        at: one.share * whole_ug / PER_GRAM
        for at, one in enumerate(shares)
        if one.share is not None
    }
    return shared_out(parts, micrograms(sum(parts.values())))


def _fate(reckoned: Reckoned, as_of: str) -> _Export:
    del as_of
    lots: dict[str, dict[str, dict[str, object]]] = {}
    for lot in reckoned.origins.lots:
        for metal in reckoned.contents.metals:
            account = lot_account(reckoned.origins, reckoned.contents, lot, metal)
            if account.received.fine_ug is None and not account.fate.not_known:
                continue
            lots.setdefault(lot, {})[metal] = _account(account)
    columns = ["lot", "metal", "received_g", "on_hand_g", "residues_g", "out_g", "unaccounted_g"]
    rows = (
        {"lot": lot, "metal": metal} | account
        for lot, metals in lots.items()
        for metal, account in metals.items()
    )
    return _Export({"lots": lots}, columns, rows)


def _account(account: LotAccount) -> dict[str, object]:
    held = (*account.fate.on_hand, *account.fate.gone, *account.fate.missing)
    return {
        "received_g": _grams_or_none(account.received),
        "on_hand_g": _grams_or_none(account.on_hand),
        "residues_g": _grams_or_none(account.in_residues),
        "out_g": _grams_or_none(account.out),
        "unaccounted_g": _grams_or_none(account.unaccounted),
        "items": [{"tag": one.tag, "fine_g": grams(micrograms(one.fine_g))} for one in held],
        "not_known": list(account.fate.not_known),
    }


def _residues(reckoned: Reckoned, as_of: str) -> _Export:
    del as_of
    stock = stock_of(reckoned.shop.items.values(), reckoned.contents)
    since = first_dates(reckoned.shop, (tag for one in stock.containers for tag in one.tags))
    containers: list[dict[str, object]] = [
        {
            "place": one.place or None,
            "form": one.form,
            "items": len(one.tags),
            "gross_g": grams(one.gross_ug) if one.not_weighed < len(one.tags) else None,
            "not_weighed": one.not_weighed,
            "content": {
                metal: _figure(total.figure) | {"how": total.figure.how.value}
                for metal, total in one.contents.items()
            },
            "oldest": min(since[tag] for tag in one.tags).isoformat(),
        }
        for one in stock.containers
    ]
    document = {
        "total": {metal: _figure(one.figure) for metal, one in stock.residues.items()},
        "containers": containers,
        "not_known": list(stock.not_known),
    }
    columns = ["place", "form", "items", "gross_g", "not_weighed", "oldest"]
    for metal in reckoned.contents.metals:
        columns += [f"{metal}_fine_g", f"{metal}_u_g", f"{metal}_how"]
    return _Export(document, columns, (_flat(one) for one in containers))


def _turnover(reckoned: Reckoned, as_of: str) -> _Export:
    until = told_until(reckoned.shop, date.fromisoformat(as_of))
    told = turnover(reckoned.shop, until)
    classes = {form: [_class_year(one) for one in years] for form, years in told.items()}
    rows = [{"form": form} | year for form, years in classes.items() for year in years]
    columns = ["form", "year", "up_to"]
    for amount in _AMOUNTS:
        columns += [f"{amount}_items", f"{amount}_g", f"{amount}_not_weighed"]
    document = {"as_of": as_of, "classes": classes}
    return _Export(document, [*columns, "moved_on_share"], rows)


# The words of the file for the amounts of a year, in the order in which they add up.
_AMOUNTS = (
    "opening", "gained", "moved_on", "sent", "sold", "worked",
    "returned", "missing", "reshaped", "closing",
)  # fmt: skip


def _class_year(year: ClassYear) -> dict[str, object]:
    told: dict[str, object] = {"year": year.year, "up_to": year.last_day.isoformat()}
    for name in _AMOUNTS:
        amount: Amount = getattr(year, name)
        weighed = amount.not_weighed == 0 or amount.gross_ug != 0
        told[f"{name}_items"] = amount.items
        told[f"{name}_g"] = grams(amount.gross_ug) if weighed else None
        told[f"{name}_not_weighed"] = amount.not_weighed
    share = year.share
    return told | {"moved_on_share": None if share is None else round(float(share), 6)}


def _flat(one: Mapping[str, object]) -> dict[str, object]:
    flat = {name: value for name, value in one.items() if name != "content"}
    content = one["content"]
    if isinstance(content, dict):
        for metal, said in content.items():
            flat |= {f"{metal}_{name}": value for name, value in said.items()}
    return flat


def grams(amount_ug: int) -> Decimal:
    """Give grams as a decimal number of all digits."""
    return Decimal(Mass(amount_ug).to_text())


def _grams_or_none(figure: Figure) -> Decimal | None:
    return None if figure.fine_ug is None else grams(figure.fine_ug)


def _figure(figure: Figure) -> dict[str, object]:
    known = figure.how is not How.NOT_KNOWN
    return {
        "fine_g": _grams_or_none(figure) if known else None,
        "u_g": grams(figure.u_ug) if known and figure.u_ug is not None else None,
    }
