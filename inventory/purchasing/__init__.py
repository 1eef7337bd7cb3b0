"""Buying: what to buy, orders, deliveries at landed cost, bills, credits, prices."""
