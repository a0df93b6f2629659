"""Overbend: from one project file to everything taken to the bench."""

__version__ = "0.1.0"
