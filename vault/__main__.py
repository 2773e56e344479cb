"""The command line: the window, and what can be asked without it.

Errors go to standard error in one plain sentence each; the exit status is 2 for wrong input and 1
for a check that fails.
"""

from __future__ import annotations

import argparse
import sys
from collections.abc import Callable, Sequence
from datetime import date
from pathlib import Path

from vault import __version__
from vault.core.errors import VaultError

WRONG_INPUT = 2
CHECK_FAILED = 1

EXPORTS = ("daybook", "stock", "origins", "fate", "residues", "turnover")
KINDS = ("csv", "json", "xlsx")


def main(arguments: Sequence[str] | None = None) -> int:
    """Do what the command line says and give the exit status."""
    words = list(sys.argv[1:] if arguments is None else arguments)
    verb = words[0] if words else ""
    try:
        if verb in _VERBS:
            make_parser, do = _VERBS[verb]
            return do(make_parser().parse_args(words[1:]))
        return _open_window(_window_parser().parse_args(words))
    except VaultError as trouble:
        print(trouble, file=sys.stderr)
        return WRONG_INPUT
    except OSError as trouble:
        print(_file_trouble(trouble), file=sys.stderr)
        return WRONG_INPUT


def _file_trouble(trouble: OSError) -> str:
    name = trouble.filename or "a file"
    return f"{name} could not be read or written: {trouble.strerror or trouble}."


def _window_parser() -> argparse.ArgumentParser:
    parser = argparse.ArgumentParser(
        prog="metal-on-hand",
        description="The inventory of a small precious-metals recovery shop.",
        epilog="Without the window: metal-on-hand import | export | check | backup, each with "
        "--help.",
    )
    parser.add_argument("file", nargs="?", type=Path, help="the book to open")
    parser.add_argument("--demo", action="store_true", help="open a fresh demonstration shop")
    parser.add_argument(
        "--self-test", action="store_true", help="draw every screen of the demonstration, then end"
    )
    parser.add_argument(
        "--pictures", type=Path, metavar="FOLDER", help="with --self-test: keep pictures of them"
    )
    parser.add_argument("--version", action="version", version=f"Metal on hand {__version__}")
    return parser


def _open_window(asked: argparse.Namespace) -> int:
    # The window and all of Qt load only when a window is wanted.
    from vault.start import open_window  # noqa: PLC0415 - see the line above

    return open_window(
        asked.file, demo=asked.demo, self_test=asked.self_test, pictures=asked.pictures
    )


def _parser(verb: str, description: str) -> argparse.ArgumentParser:
    return argparse.ArgumentParser(prog=f"metal-on-hand {verb}", description=description)


def _import_parser() -> argparse.ArgumentParser:
    parser = _parser("import", "Read a daybook into a book, all of it or nothing.")
    parser.add_argument("daybook", type=Path, help="the daybook to read: .csv or .xlsx")
    parser.add_argument("file", type=Path, help="the book; made new if it is not there yet")
    parser.add_argument("--zone", default="", help="time zone of a new book, such as Europe/Oslo")
    return parser


def _import(asked: argparse.Namespace) -> int:
    from vault.application.operations.read_in import read_in  # noqa: PLC0415 - loads the store

    outcome = read_in(asked.daybook, asked.file, zone=asked.zone)
    for fault in outcome.faults:
        print(fault.sentence_with_place(), file=sys.stderr)
    if outcome.faults:
        print(f"Nothing was read in: {_counted(len(outcome.faults), 'fault')}.", file=sys.stderr)
        return WRONG_INPUT
    print(f"{_counted(outcome.entries, 'entry', 'entries')} read into {asked.file}.")
    return 0


def _export_parser() -> argparse.ArgumentParser:
    parser = _parser("export", "Write figures or the daybook out.")
    parser.add_argument("file", type=Path, help="the book")
    parser.add_argument("--what", choices=EXPORTS, required=True)
    parser.add_argument("--as", dest="kind", choices=KINDS, help="csv unless said otherwise")
    parser.add_argument(
        "--at", type=_day, metavar="DATE", help="as the facts up to this day tell it"
    )
    parser.add_argument("-o", dest="out", type=Path, help="where to; standard output otherwise")
    return parser


def _day(text: str) -> date:
    try:
        return date.fromisoformat(text)
    except ValueError:
        raise argparse.ArgumentTypeError(f"“{text}” is no date; write it as 2031-03-14.") from None


def _export(asked: argparse.Namespace) -> int:
    from vault.application.exchange.write_out import (  # noqa: PLC0415 - loads the reckoning
        write_out,
    )

    write_out(asked.file, what=asked.what, kind=asked.kind, at=asked.at, out=asked.out)
    return 0


def _check_parser() -> argparse.ArgumentParser:
    parser = _parser("check", "Prove that a book is whole and unaltered.")
    parser.add_argument("file", type=Path, help="the book")
    return parser


def _check(asked: argparse.Namespace) -> int:
    from vault.application.checks import check_book  # noqa: PLC0415 - loads the store

    report = check_book(asked.file)
    for sentence in report.findings:
        print(sentence)
    for sentence in (*report.broken, *report.photos):
        print(sentence)
    print(report.verdict)
    return 0 if report.holds else CHECK_FAILED


def _backup_parser() -> argparse.ArgumentParser:
    parser = _parser("backup", "Make a safe copy of a book, also while it is in use.")
    parser.add_argument("file", type=Path, help="the book")
    parser.add_argument("to", type=Path, help="the copy")
    return parser


def _backup(asked: argparse.Namespace) -> int:
    from vault.application.checks import back_up_book  # noqa: PLC0415 - loads the store

    lost = back_up_book(asked.file, asked.to)
    for sentence in lost:
        print(sentence, file=sys.stderr)
    print(f"{asked.file} was copied to {asked.to} and the copy was proven.")
    return CHECK_FAILED if lost else 0


def _counted(count: int, one: str, many: str = "") -> str:
    return f"{count} {one if count == 1 else many or one + 's'}"


_VERBS: dict[
    str, tuple[Callable[[], argparse.ArgumentParser], Callable[[argparse.Namespace], int]]
] = {
    "import": (_import_parser, _import),
    "export": (_export_parser, _export),
    "check": (_check_parser, _check),
    "backup": (_backup_parser, _backup),
}


if __name__ == "__main__":
    sys.exit(main())
