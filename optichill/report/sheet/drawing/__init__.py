"""The coil in its kettle, drawn to scale from the side and from above, and both told in words."""
