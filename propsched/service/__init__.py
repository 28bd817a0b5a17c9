"""Load, simulate, grow, solve: one service behind every face."""
