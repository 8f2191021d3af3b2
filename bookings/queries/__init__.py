"""Every question asked of the bookings house; each takes its moment."""
