"""Benchmarks: `make bench`. Never part of the tests, because a timed test fails on a busy machine."""
