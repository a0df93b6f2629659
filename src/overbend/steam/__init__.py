"""Heating, cooling, moisture in and out, the steam run."""
