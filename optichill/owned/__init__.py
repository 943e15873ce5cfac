"""A coil that somebody owns: what helps it, what a change would do."""
