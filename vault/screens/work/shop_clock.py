"""The shop's clock in the window: set by the book once, it goes on by itself."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta, tzinfo


class ShopClock:
    """Tells the present moment with the shop's zone, without asking the book each time."""

    def __init__(self) -> None:
        self._ahead = timedelta()
        self._zone: tzinfo = UTC

    def set_to(self, moment: datetime) -> None:
        """Set it to what the book says is now."""
        self._ahead = moment - datetime.now(UTC)
        self._zone = moment.tzinfo or UTC

    def __call__(self) -> datetime:
        """Tell the present moment."""
        return (datetime.now(UTC) + self._ahead).astimezone(self._zone)
