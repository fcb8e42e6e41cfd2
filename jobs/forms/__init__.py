"""The forms of jobs, one file a subject."""
