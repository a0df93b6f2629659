"""The folder taken to the bench."""
