"""The forms of warranties, one file a subject."""
