"""Typed facts: the one declared catalogue, and the facts that a case, its system and its physics give."""
