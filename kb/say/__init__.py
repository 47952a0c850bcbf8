"""Whole-build answers in words: a file a topic."""
