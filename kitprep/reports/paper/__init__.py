"""Sheets for paper: the day as tables to print, carry and tick, and the same tables as data."""
