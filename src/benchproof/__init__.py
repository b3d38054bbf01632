"""Benchproof: what a part must do, what to cut, and what the bench test showed."""

__version__ = "0.1.0"
