"""Statistics of the shop floor on plain numbers: medians, shares, many tests at once."""
