"""The shop on the page: the ledger's shelves, trial bends, the steam day, devices let in."""
