"""A measured cool-down as a person or a logger wrote it."""
