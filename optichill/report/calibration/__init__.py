"""What measured batches taught, as a screen, a page and a document."""
