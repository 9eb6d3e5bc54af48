"""Drills: questions made from the calculators, with an answer key, and papers marked."""
