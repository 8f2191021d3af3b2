"""The very bottom, which bookings and equipment may use too; no noun of the trade is in it."""
