"""What a build asks of a person: how hard it is, what it costs, what to take care of."""
