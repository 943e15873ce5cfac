"""Coils beyond the lists: forms that have still to be made."""
