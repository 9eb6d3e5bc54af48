"""The bench learns: what the ledger's measured batches tell of losses, readings and instruments.

`batches` writes and reads measured batches, `losses` says which loss a batch shows, `using` gives
the next plan what was learnt, `charts` holds a reading against its limits, `instruments` finds the
bias of an instrument. Nothing here is an input of a pressure, a fill, the air or a date.
"""
