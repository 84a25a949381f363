"""Calibration: from tape readings of a test drawing to the true numbers of machine and hanging."""
