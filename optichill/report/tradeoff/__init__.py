"""The trade-off page: every coil worth building in one HTML file, to choose from before buying."""
