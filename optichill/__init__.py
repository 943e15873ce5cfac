"""optichill: recommends immersion wort chillers that can really be built."""

__version__ = "0.1.0"
