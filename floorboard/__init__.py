"""The board over a small casting shop."""

__version__ = "0.1.0"
