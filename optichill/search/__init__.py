"""All coils that could be built: the space, its front, the ranking, and the ways out when nothing fits."""
