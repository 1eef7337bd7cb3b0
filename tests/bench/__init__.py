"""Measurements: `python3 manage.py bench`. Tests never assert on time."""
