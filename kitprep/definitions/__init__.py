"""What people write: kit files, day plans and reference tables, read into frozen values."""
