"""The words of the screens, so that every page says a thing the same way."""
