"""What becomes of a coil in another kettle, in words."""
