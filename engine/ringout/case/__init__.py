"""A case: what was said, seen and measured of one installation, as leaves with their lines."""
