"""One coil for several kettles, in words."""
