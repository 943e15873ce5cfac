"""The coil as a shape: helix, risers, bends, and whether it fits the kettle. SI arrays in, arrays out."""
