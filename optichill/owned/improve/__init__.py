"""What helps a coil that is owned, each change by the lines that make it so."""
