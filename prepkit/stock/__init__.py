"""Stock: one append-only ledger of what was made, bought, taken and measured, and what stands.

`ledger.open_ledger(place)` opens it; `Ledger.append`, `events`, `measured`, `stock_at`, `take`,
`count`, `undo`, `move`, `verify` are all that other modules need. Nothing here prints.
"""
