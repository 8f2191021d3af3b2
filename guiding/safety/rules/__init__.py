"""Pure rules of safety: the hazard library and what fires it."""
