"""What becomes of a coil when another kettle arrives."""
