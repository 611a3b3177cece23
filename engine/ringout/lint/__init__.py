"""The rule base looked over as a whole: what no single file shows, and what a change of it does to cases."""
