"""Text as a sentence."""

from __future__ import annotations

import re


def sentence(text: str) -> str:
    """With a capital and a full stop; a file or key in front stays as it is written."""
    plain = re.match("[a-z]+[ ,:]", text) and not re.match(r"[^:]*\.(toml|csv)\b|[a-z]+: ", text)
    capital = f"{text[0].upper()}{text[1:]}" if plain else text
    return capital if capital.endswith((".", "?")) else f"{capital}."
