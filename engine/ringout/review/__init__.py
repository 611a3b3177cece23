"""A review: findings in order of danger, what is not known and what would settle it, what is right."""
