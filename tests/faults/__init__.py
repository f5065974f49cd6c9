"""Faults: what is cut off, full or late, and that nothing is lost or doubled by it."""
