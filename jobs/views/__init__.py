"""The pages of jobs, one file a subject."""
