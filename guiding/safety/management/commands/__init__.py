"""Commands of safety, one a file."""
