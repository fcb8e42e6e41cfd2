"""What can be done to jobs, one file a subject; every refusal is fit to show a person."""
