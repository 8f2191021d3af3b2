"""Commands of the bookings house."""
