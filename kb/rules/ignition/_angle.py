"""Angles of worked cases."""

from math import radians

degree = radians(1)
