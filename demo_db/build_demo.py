"""Build the demonstration shop: `python demo_db/build_demo.py` rewrites its three files.

Two years of an invented shop are simulated, always the same ones. `daybook.csv` holds what the shop
wrote down, `terms.json` the terms sheets of its refineries; `truth.json` what nobody in the shop
knows, for tests only. `--check` compares with the files that are there and changes nothing.
"""

from __future__ import annotations

import sys
from pathlib import Path

HERE = Path(__file__).resolve().parent
if str(HERE.parent) not in sys.path:  # run as a script, Python looks only beside the script
    sys.path.insert(0, str(HERE.parent))

from demo_db.simulator.files import daybook_text, truth_text  # noqa: E402 -- path set above
from demo_db.simulator.sheets import sheets  # noqa: E402 -- path set above
from demo_db.simulator.story import simulate  # noqa: E402 -- path set above
from vault.application.exchange.terms_text import sheets_to_text  # noqa: E402 -- path set above


def built() -> dict[Path, bytes]:
    """Give all files as they should be."""
    book = simulate()
    return {
        HERE / "daybook.csv": daybook_text(book).encode(),
        HERE / "terms.json": sheets_to_text(sheets()).encode(),
        HERE / "truth.json": truth_text(book).encode(),
    }


def main(arguments: list[str]) -> int:
    """Write the files, or only compare them; 1 where they differ, 2 for a word not understood."""
    if arguments not in ([], ["--check"]):
        print("Say nothing to build the demonstration, or --check to compare it.", file=sys.stderr)
        return 2
    status = 0
    for path, wanted in built().items():
        if arguments:
            same = path.is_file() and path.read_bytes() == wanted
            print(f"{path.name} is {'as built' if same else 'NOT as built'}")
            status = status if same else 1
        else:
            path.write_bytes(wanted)
            print(f"wrote {path.name}, {len(wanted) // 1000} kB")
    return status


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
