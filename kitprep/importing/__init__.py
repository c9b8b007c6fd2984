"""Units out of a spreadsheet: any columns, any separator, all mistakes at once."""
