"""The version, where every room can read it without the door."""

__version__ = "0.1.0"
