"""An invented answer to “is it worth sending out?”."""

from __future__ import annotations

from dataclasses import replace

from vault.application.queries.answers.send_out import Ask, ChoiceRow, NetLine, SendOut

LINES = (
    NetLine("silver, 301 g payable", 280.0),
    NetLine("treatment", -60.0),
    NetLine("freight", -40.0),
    NetLine("comes back", 180.0, is_sum=True),
)


def row(words: str, net: float, u: float, **more: object) -> ChoiceRow:
    made = ChoiceRow(words, net, u, net - 1.645 * u, net + 1.645 * u, 0.04, f"{words}: more")
    for name, value in more.items():
        object.__setattr__(made, name, value)
    return made


def choice(*, sheets: int = 2, sampling: bool = True) -> SendOut:
    """Waiting is best; each further sheet brings 30 less than the one before."""
    sent = [
        row(f"Send it now, “sheet {at}”", 310.0 - 30 * at, 90.0, is_sheet=True, lines=LINES)
        for at in range(sheets)
    ]
    rest = [
        row("Wait 7 weeks, then “sheet 0”", 395.0, 115.0, is_best=True, lines=LINES),
        row("Crush and smelt it here", 140.0, 160.0),
        *([row("Blend and sample it first", 60.0, 90.0)] if sampling else []),
        row("Keep it", 0.0, 0.0),
    ]
    return SendOut(
        tags=("C-0001", "C-0002"),
        asks=Ask.NOTHING,
        heading="Wait 7 weeks",
        currency="EUR",
        verdict="Waiting 7 weeks and sending it “sheet 0” brings about 400 ± 120 EUR.",
        reasons=("At its grade it pays on its own from 11.3 kg on, “sheet 0”.",),
        hangs_on=("It changes if silver falls below 0.810 EUR a gram.", "It changes with gold."),
        not_known=("Nobody said how much Pb is in it.",),
        rows=(*sent, *rest),
    )


def best_first(heading: str, best: str) -> SendOut:
    """Give an answer in which the row of these words is best."""
    made = choice()
    rows = tuple(replace(one, is_best=one.words.startswith(best)) for one in made.rows)
    return replace(made, heading=heading, rows=rows)


def first(asks: Ask) -> SendOut:
    """Give an answer that wants something else first."""
    return SendOut(tags=("C-0001",), asks=asks, heading=f"First the {asks.value}.")
