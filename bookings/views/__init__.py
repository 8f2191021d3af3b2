"""The pages of the bookings house."""
