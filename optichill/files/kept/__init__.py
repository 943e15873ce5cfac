"""Answers that were worked out before, to be told again while nothing that they rest on has changed."""
