"""What was done on the day, kept: events, what they add up to, and where they are stored.

`entries` says what a stored entry is and proves a chain of them (pure), `store` keeps them in
SQLite or PostgreSQL, `place` says where, `errors` is everything that can go wrong. Nothing here is
imported on the way in, so that a reader of entries never pays for a database library.
"""
