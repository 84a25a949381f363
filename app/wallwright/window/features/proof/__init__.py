"""Proof drawing of a machine that takes drawings."""
