"""A query to ranked entries of the rule base."""
