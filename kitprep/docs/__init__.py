"""The documents that come with the program, and what makes them: ``python -m kitprep.docs``."""
