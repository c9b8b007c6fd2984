"""The walks as pure views: a worked-out day and a job's state in, what to do and say next out."""
