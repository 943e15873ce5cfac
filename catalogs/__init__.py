"""Starter stock lists and demo brewhouses (data only)."""
