"""Buying: what to buy, orders, deliveries at landed cost, credits, prices."""
