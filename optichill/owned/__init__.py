"""A coil that somebody owns: what helps it, what batches teach of it, what becomes of it in a new kettle."""
