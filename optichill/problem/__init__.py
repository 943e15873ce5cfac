"""The question in numbers: basis, windings, where a coil stands, its limits and its bill."""
