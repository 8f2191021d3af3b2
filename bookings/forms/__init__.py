"""The forms of the bookings house: what was typed, read and shown again."""
