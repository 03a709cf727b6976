"""Database schema, migrations and the unit of work."""
