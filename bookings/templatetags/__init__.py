"""Tags of the pages that clients read."""
