"""Sheets, export, backup and erasure."""
