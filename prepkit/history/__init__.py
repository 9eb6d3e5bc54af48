"""The versions of a recipe: each with its day, a note and who; what changed; back to any of them.

`versions.keep`, `versions.listed`, `versions.text_of` and `versions.back` hold the store, a folder
beside the recipe; `differences.between` says what changed, in words and in figures.
"""
