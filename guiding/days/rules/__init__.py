"""Pure rules of planning a day."""
