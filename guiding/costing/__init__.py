"""What a day costs and what it must bring: pure, no tables."""
