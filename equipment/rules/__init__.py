"""Pure rules of things: packs, line, service, wear."""
