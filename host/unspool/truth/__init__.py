"""Seeded runs with known answers, by a solver that shares no formula with the model."""
