"""A trip gathered from all rooms into the frozen records that papers and invites are made from."""
