"""The system: what is joined to what, what feeds what in each operating state, and from which battery."""
