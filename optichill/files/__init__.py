"""Reading what the brewer writes, with every fault at its line; and writing whole files or none."""
