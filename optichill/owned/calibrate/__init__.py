"""What measured batches teach of a cellar."""
