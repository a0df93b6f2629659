"""Drawings as data, and their writers."""
