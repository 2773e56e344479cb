"""Every figure that is worked out: pure functions from core values to frozen results."""
