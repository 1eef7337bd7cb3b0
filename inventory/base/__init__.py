"""What every room shares: money, units, fields, refusals, the doors of pages and API."""
