"""Blind tastings: which test, how many tasters, codes and orders, sheets, and the result."""
