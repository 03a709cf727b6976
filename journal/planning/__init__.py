"""Follow-ups, plan builder and calendar."""
