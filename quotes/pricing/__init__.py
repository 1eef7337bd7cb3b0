"""A price from its rows: policy, tax, currency, options, parts of payment."""
