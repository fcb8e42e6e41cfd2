"""The pages of customers, one file a subject."""
