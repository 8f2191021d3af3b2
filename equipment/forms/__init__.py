"""Forms of gear: what is typed, made into plain values; the actions decide."""
