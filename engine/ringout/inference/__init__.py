"""Forward chaining by levels: an engine finds which facts stand together, the host judges them."""
