"""Paper of the stock: labels, order sheets, count sheets, customs sheets."""
