"""What manage.py does before Django is there: the standard library only, at import."""
