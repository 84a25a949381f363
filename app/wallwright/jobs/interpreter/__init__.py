"""Interpreter of RS-274/NGC programs."""
