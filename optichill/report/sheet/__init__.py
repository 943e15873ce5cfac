"""The build sheet: from a chosen coil to the bench."""
