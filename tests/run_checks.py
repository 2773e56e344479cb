"""The one command for all checks: `python tests/run_checks.py [part …]`.

Parts: format, lint, types, imports, tests, slow, performance; `all` is the first five. A part
that fails prints the command that repeats it alone.
"""

from __future__ import annotations

import os
import shutil
import subprocess
import sys
import time
from pathlib import Path

ROOT = Path(__file__).resolve().parent.parent
PLACES = ("vault", "tests", "demo_db")

PARTS: dict[str, tuple[tuple[str, ...], ...]] = {
    "format": (("ruff", "format", "--check", "--quiet", *PLACES),),
    "lint": (("ruff", "check", "--quiet", *PLACES),),
    "types": (("mypy",),),
    "imports": (("lint-imports", "--no-cache"),),
    "tests": (("pytest", "-q", "-m", "not slow and not performance"),),
    "slow": (("pytest", "-q", "-m", "slow and not performance"),),
    "performance": (("pytest", "-q", "-s", "-m", "performance"),),
}
ALL = ("format", "lint", "types", "imports", "tests")


def command_of(words: tuple[str, ...]) -> list[str]:
    """Give the command with its tool taken from this Python's own environment."""
    tool = Path(sys.executable).parent / words[0]
    found = str(tool) if tool.exists() else shutil.which(words[0]) or words[0]
    return [found, *words[1:]]


def run_part(part: str) -> bool:
    """Run one part, tell how it went, and say whether it passed."""
    started = time.monotonic()
    # One thread for the linear algebra: two make small solves slower, and results must repeat.
    surroundings = {**os.environ, "OMP_NUM_THREADS": "1", "OPENBLAS_NUM_THREADS": "1"}
    for words in PARTS[part]:
        done = subprocess.run(command_of(words), cwd=ROOT, env=surroundings, check=False)
        if done.returncode:
            print(f"FAILED {part}: repeat it alone with  python tests/run_checks.py {part}")
            return False
    print(f"passed {part} in {time.monotonic() - started:.0f} s", flush=True)
    return True


def main(arguments: list[str]) -> int:
    """Run the parts asked for, all of them even after a failure, and give the exit status."""
    asked = arguments or ["all"]
    parts: list[str] = []
    for word in asked:
        if word != "all" and word not in PARTS:
            print(f"There is no part “{word}”; parts are {', '.join(PARTS)}, and all.")
            return 2
        parts += ALL if word == "all" else (word,)
    passed = [run_part(part) for part in parts]
    return 0 if all(passed) else 1


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
