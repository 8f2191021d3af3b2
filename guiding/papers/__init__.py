"""PDF documents from frozen records: pure, no tables."""
