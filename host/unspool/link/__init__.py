"""Ways to reach a board: serial, a replayed capture, the virtual car."""
