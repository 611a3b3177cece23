"""Remedies as operations on a case as it is written, and the proof that they cure what they claim to cure."""
