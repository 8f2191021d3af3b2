"""Things: craft, flight packs, reels and line, kit, and their use."""
