"""What helps an owned coil, in words."""
