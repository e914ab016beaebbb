"""Motion ratio: how far the damper moves when the wheel moves."""
