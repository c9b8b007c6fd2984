"""A first kit and a first day: a few answers in, files that check clean and work out, out."""
