"""Clients and the commissions they open."""
