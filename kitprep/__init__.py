"""kitprep: plan, pack, line-check and wrap a location-sound day."""

__version__ = "0.1.0"
