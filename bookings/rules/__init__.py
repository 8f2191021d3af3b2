"""Pure rules of what is agreed with people: money, prices, places, states."""
