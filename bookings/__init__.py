"""What is agreed with people: offers, clients, parties, trips, bookings, quotes."""
