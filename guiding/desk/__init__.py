"""The desk: what the guide opens in the evening; composes everything below."""
