"""Exporting the job."""
