"""What the trade knows: rules, reading of words, look-up, causes, mechanics. Stores nothing."""
