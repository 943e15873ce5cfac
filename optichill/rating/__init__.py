"""One coil of any origin: how it chills, how sure that is, when to change over, what helps."""
