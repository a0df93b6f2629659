"""The book's chapters: functions from a plan to blocks."""
