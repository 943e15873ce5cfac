"""What a study found beyond the lists: screen, document."""
