"""Reports: what a printed page says, as frozen records; the window draws them."""
