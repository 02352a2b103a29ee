"""Measurements that run outside the tests: the closed loop against an invented world."""
