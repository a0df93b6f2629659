"""What is in a folder, for tests."""

from pathlib import Path


def names_in(folder: Path) -> list[str]:
    """Sorted names of everything in a folder."""
    return sorted(entry.name for entry in folder.iterdir())
