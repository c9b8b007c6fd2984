"""Sheets that lie over a screen until they are read: help, and what is signed after a walk."""
