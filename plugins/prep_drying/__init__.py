"""Drying: how fast water leaves the ink on a screen, how long that stays open, whether the run fits.

``prep_drying.answers`` holds what other plugins may ask.
"""
