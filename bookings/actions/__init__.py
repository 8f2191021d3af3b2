"""Every write of the bookings house; page, command and test call the same one."""
