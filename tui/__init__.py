"""Screens, keys and command line."""
