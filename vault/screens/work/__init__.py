"""The screen on which work is recorded: what went in, what came out, and whether it balances."""
