"""Calibration: estimates the true parameters of machine and hanging from tape readings of a test drawing."""
