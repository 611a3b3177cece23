"""What a person or another program gets to see of a review."""
