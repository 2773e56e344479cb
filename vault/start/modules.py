"""Names by which modules are loaded when they are first wanted, and the program's own."""

from __future__ import annotations

APPLICATION = "metal-on-hand"
OPENING = "vault.application.opening"
HOLDS = "vault.application.holds"
QUERIES = "vault.application.queries"
