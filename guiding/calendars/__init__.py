"""RFC 5545 and 5546 invites and feeds from frozen records: pure, no tables."""
