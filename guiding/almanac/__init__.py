"""The sun, the moon, the tide and the sea on a day at a place: pure, no tables."""
