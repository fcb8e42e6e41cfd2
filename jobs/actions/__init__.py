"""What can be done to jobs, one file a subject."""
