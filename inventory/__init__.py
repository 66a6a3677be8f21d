"""Parts, places, the ledger, promises, walks and buying. Knows neither kits nor shop."""
