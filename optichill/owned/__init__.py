"""A coil that exists already: what becomes of it."""
