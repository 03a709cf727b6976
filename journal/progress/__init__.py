"""Rates, alarms, ladders and comparisons."""
