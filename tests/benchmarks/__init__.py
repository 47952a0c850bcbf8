"""Figures, never tests: `python -m tests.benchmarks` prints them, nothing here can fail a build."""
