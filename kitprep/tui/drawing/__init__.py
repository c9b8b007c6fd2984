"""Pure drawing: a worked-out day and a width in, lines of text out. Nothing here knows Textual."""
