"""The interview: which question comes next, what an answer changes in the case file, when to stop."""
