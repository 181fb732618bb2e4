"""Every change of what leaves the service."""
